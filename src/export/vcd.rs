//! Traces and characters as a value change dump (IEEE 1364-2005, clause 18).

use super::events::{TRACE_NAMES, What, events, two_level};
use crate::signal::Traces;
use std::fmt::Write;

/// Identifier codes, one printable character each (IEEE 1364-2005, 18.2.1).
const TRACE_CODES: [char; 3] = ['!', '"', '#'];
const VALUE_CODE: char = '$';
const START_CODE: char = '%';
const FAULT_CODE: char = '&';

/// Writes the traces as a value change dump with a timescale of 1 ns.
///
/// Beside a wire for each two-level trace it holds `character`, which has the value of a character
/// from the fall of the line for its start bit to the end of its last bit and is unknown in
/// between; `start`, an event at each of those falls, which tells equal characters apart; and
/// `fault`, high through a character that has one. An edge that would fall together with the one
/// before it on the same wire comes 1 ns later, so that none is lost.
pub fn vcd(traces: &Traces) -> Vec<u8> {
    let mut clock = Clock::at(traces.start_s);
    let mut dump = header();
    let _ = writeln!(dump, "#{}\n$dumpvars", clock.now_ns);
    for (code, edges) in TRACE_CODES.into_iter().zip(two_level(traces)) {
        let _ = writeln!(dump, "{}{code}", u8::from(edges.starts_high()));
    }
    let _ = writeln!(dump, "bx {VALUE_CODE}\n0{FAULT_CODE}\n$end");
    for event in events(traces) {
        match event.what {
            What::Edge { trace, high } => {
                clock.advance(&mut dump, event.time_s, Some(trace));
                let _ = writeln!(dump, "{}{}", u8::from(high), TRACE_CODES[trace]);
            }
            What::Start(c) => {
                clock.advance(&mut dump, event.time_s, None);
                let _ = writeln!(
                    dump,
                    "b{:08b} {VALUE_CODE}\n1{START_CODE}\n{}{FAULT_CODE}",
                    c.value,
                    u8::from(c.faults.any())
                );
            }
            What::End => {
                clock.advance(&mut dump, event.time_s, None);
                let _ = writeln!(dump, "bx {VALUE_CODE}\n0{FAULT_CODE}");
            }
        }
    }
    clock.advance(&mut dump, traces.end_s, None);
    dump.into_bytes()
}

fn header() -> String {
    let mut text = format!(
        "$version pulsewright {} $end\n$timescale 1 ns $end\n$scope module pulsewright $end\n",
        env!("CARGO_PKG_VERSION")
    );
    for (code, name) in TRACE_CODES.into_iter().zip(TRACE_NAMES) {
        let _ = writeln!(text, "$var wire 1 {code} {name} $end");
    }
    let _ = write!(
        text,
        "$var reg 8 {VALUE_CODE} character [7:0] $end\n\
         $var event 1 {START_CODE} start $end\n\
         $var wire 1 {FAULT_CODE} fault $end\n\
         $upscope $end\n$enddefinitions $end\n"
    );
    text
}

/// The time that the dump has reached, in nanoseconds.
struct Clock {
    now_ns: u64,
    /// When each two-level trace last changed or, at first, got its first level.
    changed_ns: [u64; 3],
}

impl Clock {
    fn at(start_s: f64) -> Self {
        let now_ns = nanoseconds(start_s);
        Self {
            now_ns,
            changed_ns: [now_ns; 3],
        }
    }

    /// Moves on to an event, never back, and past the last change of `trace`.
    fn advance(&mut self, dump: &mut String, time_s: f64, trace: Option<usize>) {
        let mut time_ns = nanoseconds(time_s).max(self.now_ns);
        if let Some(trace) = trace {
            time_ns = time_ns.max(self.changed_ns[trace] + 1);
            self.changed_ns[trace] = time_ns;
        }
        if time_ns > self.now_ns {
            let _ = writeln!(dump, "#{time_ns}");
            self.now_ns = time_ns;
        }
    }
}

fn nanoseconds(time_s: f64) -> u64 {
    (time_s * 1e9).round() as u64
}
