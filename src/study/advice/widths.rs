//! The widths of both one-shots against the cycles of the tones.

use crate::settings::{Bench, Trigger};
use crate::study::Tones;
use crate::units::{Unit, show_digits};

/// A width that lies within this part of a limit has no room for the spread of parts. Our own
/// choice.
const NEAR: f64 = 0.1;
/// A space may end so much of a bit late before it is spoken of.
const LATE: f64 = 0.3;

/// What both widths do to the tones.
pub(super) fn advice(tones: &Tones, bench: &Bench) -> Vec<String> {
    let long = tones.space_hz.and_then(|hz| {
        let (part, cycle) = triggered(bench);
        long(part / hz, cycle, bench)
    });
    short_width_advice(tones, bench)
        .into_iter()
        .chain(long)
        .collect()
}

/// What the short width does to the tones, where it does not part them or hardly does; `None` also
/// where there are not two tones.
pub fn short_width_advice(tones: &Tones, bench: &Bench) -> Option<String> {
    let (part, cycle) = triggered(bench);
    let (mark_hz, space_hz) = tones.mark_hz.zip(tones.space_hz)?;
    short(part / mark_hz, part / space_hz, cycle, bench.short.width_s)
}

/// How much of a cycle lies between two triggers, and how that is called.
fn triggered(bench: &Bench) -> (f64, &'static str) {
    match bench.short.trigger {
        Trigger::Both => (0.5, "half a cycle"),
        Trigger::Rising | Trigger::Falling => (1.0, "a cycle"),
    }
}

fn us(time_s: f64) -> String {
    show_digits(time_s, Unit::Seconds, 3)
}

fn short(mark_s: f64, space_s: f64, cycle: &str, width_s: f64) -> Option<String> {
    let set = format!(
        "set it between {} and {}, at best near {}",
        us(mark_s),
        us(space_s),
        us((mark_s * space_s).sqrt())
    );
    let width = us(width_s);
    if width_s <= mark_s {
        return Some(format!(
            "The short width of {width} does not part the tones: it ends within {cycle} of mark \
             too, and the line never rests. So {set}."
        ));
    }
    if width_s >= space_s {
        return Some(format!(
            "The short width of {width} does not part the tones: it holds through {cycle} of space \
             too, and nothing is read. So {set}."
        ));
    }
    let nearest = if width_s < mark_s * (1.0 + NEAR) {
        "mark"
    } else if width_s > space_s * (1.0 - NEAR) {
        "space"
    } else {
        return None;
    };
    Some(format!(
        "The short width of {width} is hardly another than {cycle} of {nearest}: {set}."
    ))
}

/// The last trigger in a space comes one cycle before the space ends, so that the line rises late
/// by what the width is longer than that.
fn long(space_s: f64, cycle: &str, bench: &Bench) -> Option<String> {
    let width_s = bench.long.width_s;
    let (width, limit) = (us(width_s), us(space_s));
    if width_s <= space_s {
        return Some(format!(
            "The long width of {width} is shorter than {cycle} of space, {limit}: the line does not \
             hold through a space. Set it a little above."
        ));
    }
    let late_s = width_s - space_s;
    let of_bit = late_s * bench.framer.rate_bd;
    (of_bit > LATE).then(|| {
        format!(
            "The long width of {width} ends each space {} late, {} of a bit: set it a little above \
             {cycle} of space, {limit}.",
            us(late_s),
            show_digits(of_bit * 100.0, Unit::Percent, 2)
        )
    })
}
