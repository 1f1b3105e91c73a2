//! The serial receiver: edges of the line in, characters out.

use super::{Character, EdgeRun, Faults, Instants};
use crate::settings::{FramerSettings, Parity, Sense, StopBits};

/// The framer. It never fails: what is wrong with a character stands in its faults.
///
/// With a ticking clock, ticks run freely from time 0. The first tick at which the line is space
/// notices a start bit; half a bit of ticks later it must still be space, and from there one
/// sample is taken every bit (Microchip PIC24/dsPIC33 UART reference manual, "Start detection and
/// data sampling"). The exact clock measures from the edge itself.
///
/// After a stop bit that is not mark, the framer waits until it sees mark before it looks for a
/// start bit again. A ticking clock sees the line at its ticks alone: mark that has come and gone
/// between two of them does not end the wait.
#[derive(Clone, Debug)]
pub struct Framer {
    settings: FramerSettings,
    tick_s: Option<f64>,
    mark: bool,
    state: State,
    last_edge_s: f64,
    /// A character that is whole but for its margin: the next transition may lie nearer.
    closing: Option<Character>,
    false_starts_s: Vec<f64>,
}

#[derive(Clone, Debug)]
enum State {
    /// The line is mark; a transition to space may be a start bit.
    Idle,
    /// The framer must see mark first. If the line is mark now, it sees that at `seen_s`.
    WaitForMark { seen_s: f64 },
    /// Sampling a character.
    Receiving(Reception),
}

impl State {
    /// Between characters, on a line that is seen to be mark or not.
    fn between(mark: bool) -> Self {
        if mark {
            Self::Idle
        } else {
            Self::WaitForMark {
                seen_s: f64::INFINITY,
            }
        }
    }
}

#[derive(Clone, Debug)]
struct Reception {
    line_start_s: f64,
    /// When a tick first sees the line at space.
    noticed_s: f64,
    instants: Instants,
    /// How many instants have been sampled.
    sampled: usize,
    /// Their levels, the first in the lowest place; mark is 1.
    levels: u16,
    nearest_s: f64,
}

impl Framer {
    /// A framer before anything was received, on a line that starts high or low.
    pub fn new(settings: &FramerSettings, starts_high: bool) -> Self {
        let mark = starts_high == (settings.sense == Sense::Normal);
        Self {
            settings: *settings,
            tick_s: settings
                .clock
                .ticks()
                .map(|n| 1.0 / (settings.rate_bd * f64::from(n))),
            mark,
            state: State::between(mark),
            last_edge_s: f64::NEG_INFINITY,
            closing: None,
            false_starts_s: Vec::new(),
        }
    }

    /// Length of a bit in seconds.
    pub fn bit_s(&self) -> f64 {
        1.0 / self.settings.rate_bd
    }

    /// Transitions to space that had returned to mark by the middle of the start bit, in seconds.
    pub fn false_starts_s(&self) -> &[f64] {
        &self.false_starts_s
    }

    /// Gives up the list of [`Framer::false_starts_s`].
    pub fn take_false_starts_s(&mut self) -> Vec<f64> {
        std::mem::take(&mut self.false_starts_s)
    }

    /// Takes the next edges of the line.
    pub fn run(&mut self, input: EdgeRun<'_>, out: &mut Vec<Character>) {
        let mut high = input.first_rises;
        for &time_s in input.times_s {
            self.sample_before(time_s, out);
            self.transition(time_s, high == (self.settings.sense == Sense::Normal), out);
            high = !high;
        }
    }

    /// Learns that the line keeps its level up to `to_s`.
    pub fn advance(&mut self, to_s: f64, out: &mut Vec<Character>) {
        self.sample_before(to_s, out);
        if let Some(c) = self.closing
            && (to_s - c.instants.last_s()) / self.bit_s() * 100.0 >= c.margin_percent
        {
            self.close(out);
        }
    }

    /// Learns that nothing more follows.
    pub fn finish(&mut self, end_s: f64, out: &mut Vec<Character>) {
        self.advance(end_s, out);
        self.close(out);
    }

    fn close(&mut self, out: &mut Vec<Character>) {
        out.extend(self.closing.take());
    }

    fn transition(&mut self, time_s: f64, to_mark: bool, out: &mut Vec<Character>) {
        if let Some(c) = &mut self.closing {
            let far = (time_s - c.instants.last_s()) / c.instants.bit_s * 100.0;
            c.margin_percent = c.margin_percent.min(far);
            self.close(out);
        }
        let now_seen_s = self.seen_s(time_s);
        match &mut self.state {
            State::Receiving(r) if r.sampled > 0 => {
                let far_s = time_s - r.instants.at_s(r.sampled - 1);
                r.nearest_s = r.nearest_s.min(far_s);
            }
            // Gone before a tick has noticed it.
            State::Receiving(r) if to_mark && time_s <= r.noticed_s => {
                self.state = State::Idle;
            }
            State::Receiving(_) => {}
            State::WaitForMark { seen_s } if to_mark => *seen_s = now_seen_s,
            // Gone before a tick has seen it.
            State::WaitForMark { seen_s } if time_s <= *seen_s => {}
            State::WaitForMark { .. } | State::Idle if !to_mark => {
                self.state = State::Receiving(self.begin(time_s));
            }
            State::WaitForMark { .. } | State::Idle => {}
        }
        self.mark = to_mark;
        self.last_edge_s = time_s;
    }

    /// When the framer sees a transition: at the next tick, or at once with the exact clock.
    fn seen_s(&self, time_s: f64) -> f64 {
        match self.tick_s {
            Some(tick_s) => (time_s / tick_s).ceil() * tick_s,
            None => time_s,
        }
    }

    fn begin(&self, line_start_s: f64) -> Reception {
        let noticed_s = self.seen_s(line_start_s);
        let bit_s = self.bit_s();
        let before_stop = 1 + self.settings.data_bits + u32::from(self.has_parity());
        let (stops, half) = match self.settings.stop_bits {
            StopBits::One => (1, false),
            StopBits::OneAndHalf => (1, true),
            StopBits::Two => (2, false),
        };
        Reception {
            line_start_s,
            noticed_s,
            instants: Instants {
                first_s: noticed_s + bit_s / 2.0,
                bit_s,
                whole: (before_stop + stops) as u8,
                half,
            },
            sampled: 0,
            levels: 0,
            nearest_s: f64::INFINITY,
        }
    }

    fn has_parity(&self) -> bool {
        self.settings.parity != Parity::None
    }

    /// Takes all samples that lie before `time_s`. No edge lies between them, so that all see the
    /// present level of the line, and the first of them lies nearest to the last edge.
    fn sample_before(&mut self, time_s: f64, out: &mut Vec<Character>) {
        let State::Receiving(r) = &mut self.state else {
            return;
        };
        let (from, count) = (r.sampled, r.instants.count());
        let first_s = r.instants.at_s(from);
        if first_s >= time_s {
            return;
        }
        if from == 0 && self.mark {
            self.false_starts_s.push(r.line_start_s);
            self.state = State::Idle;
            return;
        }
        r.nearest_s = r.nearest_s.min(first_s - self.last_edge_s);
        let mut sampled = from + 1;
        while sampled < count && r.instants.at_s(sampled) < time_s {
            sampled += 1;
        }
        if self.mark {
            r.levels |= (1 << sampled) - (1 << from);
        }
        r.sampled = sampled;
        if sampled == count {
            let whole = r.clone();
            let character = self.judge(whole);
            self.state = State::between(self.mark);
            self.close(out);
            self.closing = Some(character);
        }
    }

    fn judge(&self, r: Reception) -> Character {
        let data_bits = self.settings.data_bits as usize;
        let has_parity = self.has_parity();
        let value = (r.levels >> 1) as u8 & (0xFF >> (8 - data_bits));
        let parity_bit = r.levels >> (1 + data_bits) & 1 == 1;
        let stop = r.levels >> (1 + data_bits + usize::from(has_parity));
        let stops = r.instants.count() - 1 - data_bits - usize::from(has_parity);
        Character {
            at_s: r.line_start_s,
            line_start_s: r.line_start_s,
            value,
            faults: Faults {
                framing: stop != (1 << stops) - 1,
                parity: self
                    .settings
                    .parity
                    .bit(value)
                    .is_some_and(|b| b != parity_bit),
                break_: r.levels == 0,
            },
            margin_percent: r.nearest_s / r.instants.bit_s * 100.0,
            instants: r.instants,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::edges::drawn;
    use super::*;
    use crate::settings::TickClock;

    /// Frames a line drawn with one character a bit, at one bit a second.
    fn frame(change: impl Fn(&mut FramerSettings), line: &str) -> Vec<Character> {
        let mut settings = FramerSettings {
            rate_bd: 1.0,
            clock: TickClock::Exact,
            ..Default::default()
        };
        change(&mut settings);
        let edges = drawn::edges(line, 1.0);
        let mut framer = Framer::new(&settings, edges.starts_high());
        let mut out = Vec::new();
        framer.run(edges.run_from(0), &mut out);
        framer.finish(line.len() as f64, &mut out);
        out
    }

    fn values(characters: &[Character]) -> Vec<u8> {
        characters.iter().map(|c| c.value).collect()
    }

    #[test]
    fn the_least_significant_bit_comes_first() {
        // 0x41 = 0100 0001: start, 1 0 0 0 0 0 1 0, stop.
        let read = frame(|_| {}, "---_-_____-_---_---------");
        assert_eq!(values(&read), [0x41, 0xFF]);
        assert!(read.iter().all(|c| !c.faults.any()));
        assert_eq!(read[0].line_start_s, 3.0);
        assert_eq!(read[0].margin_percent, 50.0);
        let instants: Vec<_> = read[0].instants.iter().collect();
        assert_eq!(
            instants,
            [3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5, 10.5, 11.5, 12.5]
        );
    }

    #[test]
    fn characters_may_follow_each_other_at_once() {
        assert_eq!(
            values(&frame(|_| {}, "-_-_-_-_-_-_-_-_-_-_-_-_-_-_-_--")),
            [0x55; 3]
        );
    }

    #[test]
    fn shorter_characters_and_parity() {
        let five = frame(|s| s.data_bits = 5, "-_-_-_--_-");
        assert_eq!(values(&five), [0b10101]);
        // 0x03 with seven bits has two ones: even parity bit 0, odd parity bit 1.
        for (parity, fits) in [
            (Parity::Even, "_"),
            (Parity::Odd, "-"),
            (Parity::Mark, "-"),
            (Parity::Space, "_"),
        ] {
            for bit in ["_", "-"] {
                let line = format!("-_--_____{bit}-----");
                let read = frame(|s| (s.data_bits, s.parity) = (7, parity), &line);
                assert_eq!(values(&read), [3]);
                assert_eq!(read[0].faults.parity, bit != fits, "{parity:?} {bit}");
            }
        }
    }

    #[test]
    fn behind_a_framing_error_it_waits_for_mark() {
        // The stop bit is space; the next space begins only behind a mark.
        let read = frame(|_| {}, "-_-_-_-_-____-_-_-_-_-_--");
        assert_eq!(read[0].faults.words(), ["framing error"]);
        assert_eq!(values(&read), [0x55, 0x55]);
        assert!(!read[1].faults.any());
    }

    /// A receiver samples the line at its ticks and at no other time (Microchip PIC24/dsPIC33 UART
    /// reference manual, "Start detection and data sampling").
    #[test]
    fn the_wait_for_mark_sees_what_the_ticks_see() {
        // The stop bit, sampled at 10.5 s, is space; short mark comes after it, and from 14 s on
        // the character FF.
        let frame = |clock, mark: [f64; 2]| {
            let settings = FramerSettings {
                rate_bd: 1.0,
                clock,
                ..Default::default()
            };
            let (mut framer, mut out) = (Framer::new(&settings, true), Vec::new());
            let run = EdgeRun {
                times_s: &[1.0, mark[0], mark[1], 13.0, 14.0, 15.0],
                first_rises: false,
            };
            framer.run(run, &mut out);
            framer.finish(40.0, &mut out);
            let starts_s = out.iter().map(|c| c.line_start_s);
            starts_s.collect::<Vec<_>>()
        };
        let tick_s = 1.0 / 16.0;
        let between = [11.0 + 0.4 * tick_s, 11.0 + 0.5 * tick_s];
        let across = [11.0 + 0.9 * tick_s, 11.0 + 1.1 * tick_s];
        // A tick at the very end of the mark sees the space that begins there.
        let up_to = [11.0 + 0.4 * tick_s, 11.0 + tick_s];
        for (clock, mark, starts_s) in [
            (TickClock::X16, between, vec![1.0, 14.0]),
            (TickClock::X16, up_to, vec![1.0, 14.0]),
            (TickClock::X16, across, vec![1.0, across[1]]),
            (TickClock::Exact, between, vec![1.0, between[1]]),
        ] {
            assert_eq!(frame(clock, mark), starts_s, "{clock:?} {mark:?}");
        }
    }

    #[test]
    fn a_long_space_is_a_break_once() {
        let read = frame(|_| {}, "-_______________________--");
        assert_eq!(read.len(), 1);
        assert_eq!(read[0].faults.words(), ["framing error", "break"]);
    }

    #[test]
    fn a_short_space_is_a_false_start() {
        let mut settings = FramerSettings {
            rate_bd: 0.1,
            ..Default::default()
        };
        settings.clock = TickClock::Exact;
        let mut framer = Framer::new(&settings, true);
        let mut out = Vec::new();
        framer.run(
            drawn::edges("--____--------------", 1.0).run_from(0),
            &mut out,
        );
        framer.finish(20.0, &mut out);
        assert!(out.is_empty());
        assert_eq!(framer.false_starts_s(), [2.0]);
    }

    #[test]
    fn stop_bits_are_checked_in_their_middles() {
        let line = "-_-_-_-_-_-___----------";
        assert!(!frame(|_| {}, line)[0].faults.any());
        let two = frame(|s| s.stop_bits = StopBits::Two, line);
        assert!(two[0].faults.framing);
        let half = frame(|s| s.stop_bits = StopBits::OneAndHalf, line);
        assert!(half[0].faults.framing);
        assert_eq!(half[0].instants.last_s(), 1.0 + 10.25);
    }

    #[test]
    fn an_inverted_line_reads_when_told_so() {
        let line = "_-_-_-_-_-__";
        assert_eq!(values(&frame(|s| s.sense = Sense::Inverted, line)), [0x55]);
    }

    #[test]
    fn the_clock_has_grain() {
        // Ticks every 1/16 s. The edge at 1/32 s is noticed at 1/16 s.
        let settings = FramerSettings {
            rate_bd: 1.0,
            clock: TickClock::X16,
            ..Default::default()
        };
        let mut framer = Framer::new(&settings, true);
        let mut out = Vec::new();
        let start = 1.0 / 32.0;
        let run = EdgeRun {
            times_s: &[start, start + 1.0],
            first_rises: false,
        };
        framer.run(run, &mut out);
        framer.finish(20.0, &mut out);
        assert_eq!(out[0].value, 0xFF);
        assert_eq!(out[0].instants.first_s, 1.0 / 16.0 + 0.5);
        assert_eq!(out[0].margin_percent, 100.0 * (0.5 - 1.0 / 32.0));
    }
}
