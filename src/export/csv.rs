//! Traces and characters as one table of comma-separated values.

use super::events::{What, events, trace_names};
use crate::picture::Lane;
use crate::signal::Traces;
use std::fmt::Write;

/// Writes the traces as a table: first a row for the level at which each trace begins, then a row
/// an edge and a row a character, in the order of time.
///
/// | column | rows of | meaning |
/// |---|---|---|
/// | `time_s` | all | the instant of the edge, or of the line's fall for the start bit |
/// | `trace` | all | `squarer`, `short_one_shot`, `long_one_shot` or `character` |
/// | `level` | traces | 0 or 1, from this instant on |
/// | `value` | characters | 0 to 255 |
/// | `faults` | characters | in words, joined with ` + `; empty where there is none |
/// | `margin_percent` | characters | in per cent of a bit |
/// | `at_s` | characters | where the start bit begins in the recording |
///
/// No field holds a comma or a quotation mark, so that none is quoted (RFC 4180); lines end with
/// a line feed alone, which line tools prefer.
pub fn csv(traces: &Traces) -> Vec<u8> {
    let mut table = String::from("time_s,trace,level,value,faults,margin_percent,at_s\n");
    let names: Vec<_> = trace_names().collect();
    let edge = |table: &mut String, time_s: f64, trace: usize, high: bool| {
        let _ = writeln!(table, "{time_s},{},{},,,,", names[trace], u8::from(high));
    };
    for (trace, edges) in Lane::all_edges(traces).enumerate() {
        edge(&mut table, traces.start_s, trace, edges.starts_high());
    }
    for event in events(traces) {
        match event.what {
            What::Edge { trace, high } => edge(&mut table, event.time_s, trace, high),
            What::Start(c) => {
                let _ = writeln!(
                    table,
                    "{},character,,{},{},{},{}",
                    event.time_s,
                    c.value,
                    c.faults.words().join(" + "),
                    c.margin_percent,
                    c.at_s
                );
            }
            What::End => {}
        }
    }
    table.into_bytes()
}
