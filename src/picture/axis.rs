//! The time axis: where ticks stand, and what they say.

use super::{Anchor, DisplayList, Font, Ink, Rect, Span};

/// Labelled ticks at round times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ticks {
    /// Distance between labelled ticks in seconds.
    pub step_s: f64,
    /// Fine steps between two labelled ticks.
    pub parts: u32,
}

impl Ticks {
    /// Ticks at least `least_s` apart, at 1, 2 or 5 times a power of ten below a second, and at
    /// whole parts of minutes and hours above.
    pub fn at_least(least_s: f64) -> Self {
        const LONG: [(f64, u32); 13] = [
            (1.0, 5),
            (2.0, 4),
            (5.0, 5),
            (10.0, 5),
            (20.0, 4),
            (30.0, 6),
            (60.0, 6),
            (120.0, 4),
            (300.0, 5),
            (600.0, 5),
            (1200.0, 4),
            (1800.0, 6),
            (3600.0, 6),
        ];
        if least_s > 0.5 {
            let hours = (least_s / 3600.0).ceil().max(1.0) * 3600.0;
            let (step_s, parts) = LONG
                .into_iter()
                .find(|(step, _)| *step >= least_s)
                .unwrap_or((hours, 4));
            return Self { step_s, parts };
        }
        let decade = 10f64.powi(least_s.max(1e-12).log10().floor() as i32);
        let (factor, parts) = [(1.0, 5), (2.0, 4), (5.0, 5), (10.0, 5)]
            .into_iter()
            .find(|(f, _)| f * decade >= least_s * (1.0 - 1e-9))
            .unwrap_or((10.0, 5));
        Self {
            step_s: factor * decade,
            parts,
        }
    }

    /// The times of all fine ticks in the span, with whether each is a labelled one.
    pub fn within(self, span: Span) -> impl Iterator<Item = (f64, bool)> {
        let fine_s = self.step_s / f64::from(self.parts);
        let from = (span.from_s / fine_s).ceil() as i64;
        let to = (span.to_s / fine_s).floor() as i64;
        let parts = i64::from(self.parts);
        (from..=to).map(move |i| {
            // From the labelled tick on, so that labels are as round as they can be.
            let time_s =
                i.div_euclid(parts) as f64 * self.step_s + i.rem_euclid(parts) as f64 * fine_s;
            (time_s, i.rem_euclid(parts) == 0)
        })
    }
}

/// A time with as many decimals as ticks `step_s` apart need: `1:02.345`, `5.012 300`.
pub fn time_label(time_s: f64, step_s: f64) -> String {
    let decimals = (-(step_s.max(1e-12) * 1.0001).log10())
        .ceil()
        .clamp(0.0, 9.0) as usize;
    let sign = if time_s < -step_s / 2.0 { "-" } else { "" };
    let text = format!("{:.decimals$}", time_s.abs());
    let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
    let whole: u64 = whole.parse().unwrap_or(0);
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    let head = if h > 0 {
        format!("{h}:{m:02}:{s:02}")
    } else {
        format!("{m}:{s:02}")
    };
    if part.is_empty() {
        return format!("{sign}{head}");
    }
    // Groups of three, as in a table of figures.
    let groups: Vec<_> = part
        .as_bytes()
        .chunks(3)
        .map(String::from_utf8_lossy)
        .collect();
    format!("{sign}{head}.{}", groups.join("\u{2009}"))
}

/// Least distance between labelled ticks in points, wide enough for the longest label.
const LABEL_ROOM: f32 = 96.0;

/// The ticks that suit a span drawn `width` points wide.
pub(super) fn ticks_for(span: Span, width: f32) -> Ticks {
    Ticks::at_least(span.length_s() * f64::from(LABEL_ROOM / width.max(LABEL_ROOM)))
}

/// Draws the fine grid's upright lines.
pub(super) fn draw_grid(list: &mut DisplayList, area: Rect, span: Span) {
    for (time_s, labelled) in ticks_for(span, area.w).within(span) {
        let x = span.x_of(time_s, area.x, area.w);
        let ink = if labelled { Ink::GridStrong } else { Ink::Grid };
        list.line([[x, area.y], [x, area.bottom()]], ink, 1.0);
    }
}

/// Draws the axis with its labels in `area`, below the lanes.
pub(super) fn draw_axis(list: &mut DisplayList, area: Rect, span: Span) {
    list.line([[area.x, area.y], [area.right(), area.y]], Ink::Rule, 1.0);
    let ticks = ticks_for(span, area.w);
    for (time_s, labelled) in ticks.within(span) {
        let x = span.x_of(time_s, area.x, area.w);
        let length = if labelled { 6.0 } else { 3.0 };
        list.line([[x, area.y], [x, area.y + length]], Ink::Rule, 1.0);
        if labelled {
            let label = time_label(time_s, ticks.step_s);
            let half = label.len() as f32 * 11.0 * 0.3;
            if x - half >= area.x - 60.0 && x + half <= area.right() + 4.0 {
                let at = [x, area.y + 15.0];
                list.text_as(at, label, 11.0, Font::Plain, Anchor::Middle, Ink::Faint);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (least, step) in [
            (0.0009, 0.001),
            (0.001, 0.001),
            (0.0011, 0.002),
            (0.3, 0.5),
            (0.6, 1.0),
            (7.0, 10.0),
            (45.0, 60.0),
            (3000.0, 3600.0),
            (4000.0, 7200.0),
        ] {
            let ticks = Ticks::at_least(least);
            assert!(
                (ticks.step_s - step).abs() < step * 1e-9,
                "{least}: {}",
                ticks.step_s
            );
        }
    }

    #[test]
    fn labels_have_the_decimals_they_need() {
        assert_eq!(time_label(62.5, 0.5), "1:02.5");
        assert_eq!(time_label(5.0123, 1e-4), "0:05.012\u{2009}3");
        assert_eq!(time_label(3723.0, 1.0), "1:02:03");
        assert_eq!(time_label(0.0, 0.001), "0:00.000");
    }

    #[test]
    fn ticks_cover_the_span() {
        let ticks = Ticks {
            step_s: 1.0,
            parts: 2,
        };
        let all: Vec<_> = ticks.within(Span::new(0.4, 2.0)).collect();
        assert_eq!(all, [(0.5, false), (1.0, true), (1.5, false), (2.0, true)]);
    }
}
