//! What listening says.

use super::ListenHand;
use crate::live::{Event, Report, no_loss};
use crate::picture::Span;
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

/// The file of a capture that holds where a stretch begins, with the stretch as it lies in it.
pub(super) fn look(report: &Report, span: Span) -> Option<ListenHand> {
    let from_s = span.from_s.max(0.0);
    let mut files = report.files.iter().zip(&report.file_begins_at_s);
    let (file, begins_at_s) = files.rfind(|(_, begins_at_s)| **begins_at_s <= from_s)?;
    let span = span.moved(-begins_at_s);
    Some(ListenHand::Look(file.clone(), Some(span)))
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
