//! The room that the window has: on the screen, and for what it shows.

use egui::containers::scroll_area::ScrollSource;
use egui::{Context, Rect, ScrollArea, Ui, UiBuilder, Vec2, ViewportCommand, ViewportInfo};
use std::time::Duration;

/// The least width and height in points in which everything has its place, a screen of 1024 by 640
/// less what a desktop puts around the window; in less, it scrolls.
pub(super) const LEAST: Vec2 = Vec2::new(1016.0, 600.0);
/// The least width and height in points of the window itself.
pub(super) const LEAST_WINDOW: Vec2 = Vec2::new(480.0, 320.0);
/// For so many seconds a new window waits for the frame that the desktop puts around it.
const FRAMED_S: f64 = 2.0;
const LOOK_AGAIN: Duration = Duration::from_millis(100);

/// Draws with at least [`LEAST`] of room. The wheel belongs to what is drawn, so the bars alone
/// scroll.
pub(super) fn in_room(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    let room = ui.available_size();
    if room.x >= LEAST.x && room.y >= LEAST.y {
        return add(ui);
    }
    // The bars are beside what is shown, not over it.
    ui.style_mut().spacing.scroll = egui::style::ScrollStyle::solid();
    let bars = ScrollArea::both().scroll_source(ScrollSource::SCROLL_BAR);
    bars.auto_shrink(false).show(ui, |ui| {
        let (page, _) = ui.allocate_exact_size(room.max(LEAST), egui::Sense::hover());
        ui.scope_builder(UiBuilder::new().max_rect(page), add);
    });
}

/// Makes a new window no larger than the screen: what a desktop adds around the size that was
/// asked for may push its foot below the screen.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct ScreenFit {
    /// Whether that has been seen to.
    done: bool,
}

impl ScreenFit {
    /// Looks whether the window fits, as long as it is new.
    pub fn mind(&mut self, ctx: &Context) {
        if self.done {
            return;
        }
        let time_s = ctx.input(|i| i.time);
        let (fits, on_screen) = ctx.input(|i| {
            let window = i.viewport();
            (fitting(window), window.monitor_size.is_some())
        });
        if let Some(size) = fits {
            ctx.send_viewport_cmd(ViewportCommand::InnerSize(size));
            ctx.send_viewport_cmd(ViewportCommand::OuterPosition(egui::Pos2::ZERO));
        }
        self.done = fits.is_some() || time_s > FRAMED_S;
        if on_screen && !self.done {
            ctx.request_repaint_after(LOOK_AGAIN);
        }
    }
}

/// The size that fits the screen, where the window with its frame is larger than that.
fn fitting(window: &ViewportInfo) -> Option<Vec2> {
    let (inner, outer) = (window.inner_rect?, window.outer_rect?);
    let screen = Rect::from_min_size(egui::Pos2::ZERO, window.monitor_size?);
    let frame = outer.size() - inner.size();
    let most = screen.size() - frame;
    let (too_wide, too_high) = (inner.width() > most.x, inner.height() > most.y);
    let fits = Vec2::new(inner.width().min(most.x), inner.height().min(most.y));
    (frame != Vec2::ZERO && (too_wide || too_high)).then_some(fits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_window_is_made_to_fit_once_its_frame_is_known() {
        let inner = |w, h| Rect::from_min_size(pos2(1.0, 20.0), Vec2::new(w, h));
        let window = |inner: Rect, outer: Rect| ViewportInfo {
            inner_rect: Some(inner),
            outer_rect: Some(outer),
            monitor_size: Some(Vec2::new(1280.0, 720.0)),
            ..Default::default()
        };
        let framed = |i: Rect| Rect::from_min_max(pos2(0.0, 0.0), i.max + Vec2::new(1.0, 4.0));
        let full = inner(1280.0, 720.0);
        assert_eq!(fitting(&window(full, full)), None);
        let fits = fitting(&window(full, framed(full)));
        assert_eq!(fits, Some(Vec2::new(1278.0, 696.0)));
        let small = inner(1024.0, 640.0);
        assert_eq!(fitting(&window(small, framed(small))), None);
        assert_eq!(fitting(&ViewportInfo::default()), None);
    }
}
