//! Traces and characters as a value change dump (IEEE 1364-2005, clause 18).

use super::events::{What, events, trace_names};
use crate::picture::Lane;
use crate::signal::Traces;
use std::fmt::Write;

/// Identifier codes, one printable character each (IEEE 1364-2005, 18.2.1).
const CODES: std::ops::RangeInclusive<char> = '!'..='~';

/// The codes of a dump: one for each two-level trace, then those of the characters.
struct Codes {
    traces: Vec<char>,
    value: char,
    start: char,
    fault: char,
}

impl Codes {
    fn new() -> Self {
        let mut free = CODES;
        let traces = free.by_ref().take(trace_names().count()).collect();
        let mut next = || free.next().expect("there are more codes than lanes");
        Self {
            traces,
            value: next(),
            start: next(),
            fault: next(),
        }
    }
}

/// Writes the traces as a value change dump with a timescale of 1 ns.
///
/// Beside a wire for each two-level trace it holds `character`, which has the value of a character
/// from the fall of the line for its start bit to the end of its last bit and is unknown in
/// between; `start`, an event at each of those falls, which tells equal characters apart; and
/// `fault`, high through a character that has one. An edge that would fall together with the one
/// before it on the same wire comes 1 ns later, so that none is lost.
pub fn vcd(traces: &Traces) -> Vec<u8> {
    let codes = Codes::new();
    let mut clock = Clock::at(traces.start_s, codes.traces.len());
    let mut dump = header(&codes);
    let _ = writeln!(dump, "#{}\n$dumpvars", clock.now_ns);
    for (code, edges) in codes.traces.iter().zip(Lane::all_edges(traces)) {
        let _ = writeln!(dump, "{}{code}", u8::from(edges.starts_high()));
    }
    let (value, start, fault) = (codes.value, codes.start, codes.fault);
    let _ = writeln!(dump, "bx {value}\n0{fault}\n$end");
    for event in events(traces) {
        match event.what {
            What::Edge { trace, high } => {
                clock.advance(&mut dump, event.time_s, Some(trace));
                let _ = writeln!(dump, "{}{}", u8::from(high), codes.traces[trace]);
            }
            What::Start(c) => {
                clock.advance(&mut dump, event.time_s, None);
                let _ = writeln!(
                    dump,
                    "b{:08b} {value}\n1{start}\n{}{fault}",
                    c.value,
                    u8::from(c.faults.any())
                );
            }
            What::End => {
                clock.advance(&mut dump, event.time_s, None);
                let _ = writeln!(dump, "bx {value}\n0{fault}");
            }
        }
    }
    clock.advance(&mut dump, traces.end_s, None);
    dump.into_bytes()
}

fn header(codes: &Codes) -> String {
    let mut text = format!(
        "$version pulsewright {} $end\n$timescale 1 ns $end\n$scope module pulsewright $end\n",
        env!("CARGO_PKG_VERSION")
    );
    for (code, name) in codes.traces.iter().zip(trace_names()) {
        let _ = writeln!(text, "$var wire 1 {code} {name} $end");
    }
    let _ = write!(
        text,
        "$var reg 8 {} character [7:0] $end\n\
         $var event 1 {} start $end\n\
         $var wire 1 {} fault $end\n\
         $upscope $end\n$enddefinitions $end\n",
        codes.value, codes.start, codes.fault
    );
    text
}

/// The time that the dump has reached, in nanoseconds.
struct Clock {
    now_ns: u64,
    /// When each two-level trace last changed or, at first, got its first level.
    changed_ns: Vec<u64>,
}

impl Clock {
    fn at(start_s: f64, traces: usize) -> Self {
        let now_ns = nanoseconds(start_s);
        Self {
            now_ns,
            changed_ns: vec![now_ns; traces],
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
