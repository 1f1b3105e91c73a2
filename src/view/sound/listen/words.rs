//! What listening says.

use crate::live::{Event, Report, no_loss};
use crate::units::{self, Unit};

/// How much of a capture that is over is kept, and where.
pub(super) fn kept(report: &Report) -> String {
    let length = units::show_digits(report.captured_s, Unit::Seconds, 4);
    let lost = match report.gap_count {
        0 => no_loss(),
        n => format!(
            "samples were lost {} (the lanes mark where)",
            units::counted(n as usize, "time")
        ),
    };
    let files: Vec<_> = report
        .files
        .iter()
        .map(|f| f.display().to_string())
        .collect();
    let files = files.join(", ");
    if report.captured_s == 0.0 {
        return format!("Nothing came; {files} holds no samples.");
    }
    format!("{length} are kept in {files}; {lost}.")
}

/// What there is to say of an event.
pub(super) fn said(event: &Event) -> Option<Result<String, String>> {
    let at = |s: f64| units::clock(s);
    match event {
        Event::Gap(gap) => Some(Err(format!("Gap: {gap}."))),
        Event::Resumed(s) => Some(Ok(format!("Sound comes again from {} on.", at(*s)))),
        Event::NextFile(file) => Some(Ok(format!("It goes on in {}.", file.display()))),
        Event::Note(note) => Some(Err(note.clone())),
        Event::Stalled(_) | Event::Characters(_) | Event::Settled | Event::Ended(_) => None,
    }
}
