//! What `listen` shows: text on standard output, a line of status and a summary on standard error.

use super::output::Passing;
use crate::live::{self, Report};
use crate::signal::Character;
use crate::source::{reason, report_path};
use crate::units::{self, Unit};
use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// How often the line of status changes at the most.
const STATUS: Duration = Duration::from_millis(200);

/// The characters on standard output, at once.
pub(super) struct Text {
    raw: bool,
    terminal: bool,
    /// Values so far.
    bytes: Vec<u8>,
    faults: [usize; 3],
    after_return: bool,
    at_margin: bool,
    /// Why nothing is written any more, and whether that has been said.
    ended: Option<(io::ErrorKind, String)>,
    note: Option<String>,
}

impl Text {
    /// Prints bytes as they are, or as text.
    pub fn new(raw: bool) -> Self {
        Self {
            raw,
            terminal: io::stdout().is_terminal(),
            bytes: Vec::new(),
            faults: [0; 3],
            after_return: false,
            at_margin: true,
            ended: None,
            note: None,
        }
    }

    /// That nothing more is written and why, once; the capture goes on without it.
    pub fn take_note(&mut self) -> Option<String> {
        self.note.take()
    }

    /// Why some of it could not be written. A reader that has seen enough is no failure.
    pub fn failure(&self) -> Option<String> {
        let (kind, reason) = self.ended.as_ref()?;
        let failed = *kind != io::ErrorKind::BrokenPipe;
        failed.then(|| format!("Standard output could not be written to its end: {reason}."))
    }

    /// Whether a line of status would break no text in two.
    pub fn is_at_margin(&self) -> bool {
        self.at_margin || !self.terminal
    }

    /// The values of all characters.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Framing errors, parity errors and breaks.
    pub fn faults(&self) -> [usize; 3] {
        self.faults
    }

    pub fn print(&mut self, characters: &[Character]) {
        let from = self.bytes.len();
        let mut text = String::new();
        for character in characters {
            self.bytes.push(character.value);
            let f = character.faults;
            for (count, is) in self.faults.iter_mut().zip([f.framing, f.parity, f.break_]) {
                *count += usize::from(is);
            }
            self.add(character, &mut text);
        }
        let out = match self.raw {
            true => self.bytes[from..].to_vec(),
            false => text.into_bytes(),
        };
        self.write(&out);
    }

    /// The text of one character; carriage return, line feed and both together end a line.
    fn add(&mut self, character: &Character, text: &mut String) {
        let after_return = std::mem::take(&mut self.after_return);
        let shown = match character.value {
            _ if character.faults.any() => '\u{FFFD}',
            b'\n' if after_return => return,
            b'\r' => {
                self.after_return = true;
                '\n'
            }
            b'\n' => '\n',
            b'\t' => '\t',
            c @ b' '..=b'~' => char::from(c),
            _ => '·',
        };
        self.at_margin = shown == '\n';
        text.push(shown);
    }

    /// Ends a line of text that is not whole.
    pub fn end_line(&mut self) {
        if !self.raw && !self.at_margin {
            self.at_margin = true;
            self.write(b"\n");
        }
    }

    fn write(&mut self, bytes: &[u8]) {
        if self.ended.is_some() {
            return;
        }
        let mut out = io::stdout().lock();
        let Err(e) = out.write_all(bytes).and_then(|()| out.flush()) else {
            return;
        };
        let reason = reason(&e);
        self.note = Some(format!(
            "standard output takes no more characters: {reason}. The capture goes on; Ctrl-C ends it"
        ));
        self.ended = Some((e.kind(), reason));
    }
}

/// A line of status on standard error, where that is a terminal.
pub(super) struct Status {
    line: Passing,
    next: Instant,
}

impl Status {
    pub fn new() -> Self {
        Self {
            line: Passing::new(),
            next: Instant::now(),
        }
    }

    pub fn show(&mut self, status: &live::Status) {
        if self.line.is_watched() && Instant::now() >= self.next {
            self.next = Instant::now() + STATUS;
            self.line.show(&line(status));
        }
    }

    pub fn wipe(&mut self) {
        self.line.wipe();
    }
}

fn line(status: &live::Status) -> String {
    let meter = &status.meter;
    let mut line = units::clock(status.captured_s);
    if meter.held_v > 0.0 {
        let volts = units::show_digits(meter.held_v, Unit::Volts, 2);
        line += &format!("  peak {volts} ({:.1} dBFS)", meter.dbfs(meter.held_v));
    }
    let count = |n: u64, word| units::counted(n as usize, word);
    line += &format!("  {}", count(status.characters, "character"));
    for (n, word) in [(status.faulty, "fault"), (status.gaps, "gap")] {
        if n > 0 {
            line += &format!("  {}", count(n, word));
        }
    }
    if status.state == live::State::Stalled {
        line += "  nothing comes";
    }
    if let Some(hint) = &status.hint {
        line += &format!("  {hint}");
    }
    line
}

/// What there is to say about a capture that is over.
pub(super) fn summary(report: &Report, status: &live::Status, faults: [usize; 3]) -> Vec<String> {
    let counted = units::counted;
    let [framing, parity, breaks] = faults;
    let files: Vec<_> = report
        .files
        .iter()
        .map(|p| p.display().to_string())
        .collect();
    let kept = units::clock(report.captured_s);
    let mut lines = vec![
        match files.is_empty() {
            false => format!("{}: {kept} kept in {}", report.device, files.join(", ")),
            true => format!("{}: nothing is kept", report.device),
        },
        format!(
            "{}: {}, {}, {}",
            counted(status.characters as usize, "character"),
            counted(framing, "framing error"),
            counted(parity, "parity error"),
            counted(breaks, "break")
        ),
    ];
    if status.meter.clipped > 0 {
        lines.push(format!(
            "level: {} at full scale",
            counted(status.meter.clipped as usize, "sample")
        ));
    }
    lines.push(match report.gap_count {
        0 => live::no_loss(),
        n => {
            let listed: f64 = report.gaps.iter().map(|g| g.length_s).sum();
            format!(
                "{}, {} of samples missing: see {}",
                counted(n as usize, "gap"),
                units::show_digits(listed, Unit::Seconds, 3),
                report
                    .files
                    .first()
                    .map_or_else(String::new, |f| report_path(f).display().to_string())
            )
        }
    });
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::signal::{Faults, Instants};

    fn shown(values: &[(u8, bool)]) -> String {
        let mut text = Text::new(false);
        let mut out = String::new();
        for &(value, framing) in values {
            let character = Character {
                at_s: 0.0,
                line_start_s: 0.0,
                value,
                faults: Faults {
                    framing,
                    ..Faults::default()
                },
                margin_percent: 50.0,
                instants: Instants {
                    first_s: 0.0,
                    bit_s: 1.0,
                    whole: 10,
                    half: false,
                },
            };
            text.add(&character, &mut out);
        }
        out
    }

    #[test]
    fn lines_end_once_and_the_terminal_gets_no_control_character() {
        let plain = |bytes: &[u8]| shown(&bytes.iter().map(|&b| (b, false)).collect::<Vec<_>>());
        assert_eq!(plain(b"AB\r\nC\rD\n\nE\x1b[2J\x00"), "AB\nC\nD\n\nE·[2J·");
        assert_eq!(shown(&[(b'A', true), (b'B', false)]), "\u{FFFD}B");
    }
}
