//! A window that listens to a feed in place of a device.

use crate::live::Feed;
use crate::store::Store;
use crate::study::Comparison;
use crate::view::app::{App, Held};
use crate::view::message::Message;
use crate::view::{Action, Request};
use egui::{Context, RawInput};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const PATIENCE: Duration = Duration::from_secs(10);

/// A window that listens to a feed, with what it draws on.
struct Desk {
    app: App,
    feed: Feed,
    ctx: Context,
    _folder: TempDir,
    /// Where the feed's clock stands, in tenths of a second.
    tenths: u64,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (ctx, store) = (Context::default(), Store::at(folder.path()));
        let mut app = App::new(&ctx, Request::default(), store).unwrap();
        let feed = app.listener.listen_to_a_feed(folder.path());
        let mut desk = Self {
            app,
            feed,
            ctx,
            _folder: folder,
            tenths: 0,
        };
        for _ in 0..10 {
            desk.hear();
        }
        desk.until(|app| app.end_s() > 0.9 && app.session.document().is_some());
        desk
    }

    /// A tenth of a second of silence comes.
    fn hear(&mut self) {
        self.tenths += 1;
        self.feed.push(&[0; 1600], self.tenths * 100_000_000);
    }

    fn frame(&mut self) {
        let drawn = self.ctx.run_ui(RawInput::default(), |ui| self.app.show(ui));
        drawn.drop_without_applying_deltas();
        std::thread::sleep(Duration::from_millis(2));
    }

    fn until(&mut self, holds: impl Fn(&App) -> bool) {
        let by = Instant::now() + PATIENCE;
        while !holds(&self.app) {
            assert!(Instant::now() < by, "it never comes");
            self.frame();
        }
    }

    fn act(&mut self, action: Action) {
        self.app.act(action, &self.ctx);
    }

    fn says(&self, words: &str) -> bool {
        match self.app.messages.present() {
            Some(Message::Done(said) | Message::Failed(said)) => said.contains(words),
            None => false,
        }
    }
}

#[test]
fn what_rolls_cannot_be_held() {
    let mut desk = Desk::new();
    desk.act(Action::Hold);
    assert!(desk.app.held.is_none());
    assert!(desk.says("freeze them first"));
    // What was held while it stood still is let go of when it rolls on.
    desk.app.held = Some(Held {
        traces: desk.app.session.whole(),
        comparison: Comparison::default(),
    });
    desk.hear();
    desk.until(|app| app.held.is_none());
}
