//! The traces and the characters as one list in the order of time, for the exports that need it.

use crate::picture::Lane;
use crate::signal::{Character, Edges, Traces};
use std::iter::Peekable;

/// The names of the two-level traces, in signal order.
pub(super) fn trace_names() -> impl Iterator<Item = &'static str> {
    Lane::two_level().map(Lane::file_name)
}

/// Something that happens at an instant.
#[derive(Clone, Copy, Debug)]
pub(super) enum What<'a> {
    /// A trace changes to this level.
    Edge { trace: usize, high: bool },
    /// The line falls for the start bit of a character.
    Start(&'a Character),
    /// The last bit of a character ends on the line, or the next one starts before that.
    End,
}

/// Something that happens, with its instant in seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Event<'a> {
    pub time_s: f64,
    pub what: What<'a>,
}

type Queue<'a> = Peekable<Box<dyn Iterator<Item = Event<'a>> + 'a>>;

/// Everything that happens, in the order of time; what happens at one instant, in signal order.
pub(super) fn events(traces: &Traces) -> impl Iterator<Item = Event<'_>> {
    let mut queues: Vec<Queue<'_>> = Lane::all_edges(traces)
        .enumerate()
        .map(|(trace, edges)| queue(edge_events(trace, edges)))
        .collect();
    queues.push(queue(character_events(&traces.characters)));
    std::iter::from_fn(move || {
        let time_s = |queue: &mut Queue<'_>| queue.peek().map_or(f64::INFINITY, |e| e.time_s);
        let mut first = 0;
        for i in 1..queues.len() {
            if time_s(&mut queues[i]) < time_s(&mut queues[first]) {
                first = i;
            }
        }
        queues[first].next()
    })
}

fn queue<'a>(events: impl Iterator<Item = Event<'a>> + 'a) -> Queue<'a> {
    (Box::new(events) as Box<dyn Iterator<Item = Event<'a>>>).peekable()
}

fn edge_events<'a>(trace: usize, edges: &'a Edges) -> impl Iterator<Item = Event<'a>> {
    let times_s = edges.times_s().iter().enumerate();
    times_s.map(move |(i, &time_s)| Event {
        time_s,
        what: What::Edge {
            trace,
            high: edges.rises(i),
        },
    })
}

fn character_events(characters: &[Character]) -> impl Iterator<Item = Event<'_>> {
    characters.iter().enumerate().flat_map(|(i, character)| {
        let next_s = characters
            .get(i + 1)
            .map_or(f64::INFINITY, |c| c.line_start_s);
        [
            Event {
                time_s: character.line_start_s,
                what: What::Start(character),
            },
            Event {
                time_s: character.line_end_s().min(next_s),
                what: What::End,
            },
        ]
    })
}
