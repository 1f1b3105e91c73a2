//! Both one-shots and the framer with every trigger, sense, parity, number of data and stop bits and
//! clock, against the same written once more in numpy, on lines full of garbage as well as
//! characters.

use crate::python::{Bench as Folder, greatest_difference, noise};
use pulsewright::settings::{
    Bench, Choice, LongTrigger, Parity, Sense, StopBits, TickClock, Trigger,
};
use pulsewright::signal::{Character, Edges, Traces};
use std::fmt::Write;

/// Cases of each combination of triggers, sense and clock.
const EACH: usize = 4;

/// A source of numbers between 0 and 1.
struct Dice(Box<dyn Iterator<Item = f32>>);

impl Dice {
    fn roll(&mut self) -> f64 {
        f64::from(self.0.next().unwrap()) * 0.5 + 0.5
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.roll() * of.len() as f64) as usize % of.len()]
    }
}

/// Settings near those that read, with a framing of any kind.
fn bench(
    dice: &mut Dice,
    triggers: (Trigger, LongTrigger),
    sense: Sense,
    clock: TickClock,
) -> Bench {
    let mut bench = Bench::default();
    let part = if triggers.0 == Trigger::Both {
        0.5
    } else {
        1.0
    };
    bench.short.trigger = triggers.0;
    bench.short.width_s = part * (450e-6 + 350e-6 * dice.roll());
    bench.long.trigger = triggers.1;
    bench.long.width_s = 700e-6 + 900e-6 * dice.roll();
    bench.framer.sense = sense;
    bench.framer.clock = clock;
    bench.framer.rate_bd = 300.0 * (0.93 + 0.14 * dice.roll());
    bench.framer.data_bits = dice.pick(&[5, 6, 7, 8]);
    let parities = [
        Parity::None,
        Parity::Even,
        Parity::Odd,
        Parity::Mark,
        Parity::Space,
    ];
    bench.framer.parity = dice.pick(&parities);
    bench.framer.stop_bits = dice.pick(&[StopBits::One, StopBits::OneAndHalf, StopBits::Two]);
    bench
}

/// Two tones, bit by bit, with half cycles that jitter; now and then a cycle of another length.
fn squarer(dice: &mut Dice, bits: usize) -> Edges {
    let mut edges = Edges::resting(false);
    let mut time_s = 0.01;
    edges.push(time_s);
    for _ in 0..bits {
        let mark = dice.roll() < 0.6;
        let (count, half_s) = if mark {
            (16, 1.0 / 4800.0)
        } else {
            (8, 1.0 / 2400.0)
        };
        for _ in 0..count {
            let odd = if dice.roll() < 0.004 {
                0.3 + 2.0 * dice.roll()
            } else {
                1.0
            };
            time_s += half_s * odd * (0.95 + 0.1 * dice.roll());
            edges.push(time_s);
        }
    }
    edges
}

fn numbers(c: &Character) -> [f64; 6] {
    let flag = |is: bool| f64::from(u8::from(is));
    [
        c.line_start_s,
        f64::from(c.value),
        flag(c.faults.framing),
        flag(c.faults.parity),
        flag(c.faults.break_),
        c.margin_percent,
    ]
}

/// The cases, each with what our stages make of it.
fn cases(folder: &Folder) -> Vec<Traces> {
    let mut dice = Dice(Box::new(noise(10_000_000)));
    let (mut rows, mut all) = (String::new(), Vec::new());
    for trigger in [Trigger::Rising, Trigger::Falling, Trigger::Both] {
        for long_trigger in [LongTrigger::TimeOut, LongTrigger::NextTrigger] {
            for sense in [Sense::Normal, Sense::Inverted] {
                for clock in [TickClock::X16, TickClock::X64, TickClock::Exact] {
                    for _ in 0..EACH {
                        let bench = bench(&mut dice, (trigger, long_trigger), sense, clock);
                        let edges = squarer(&mut dice, 400);
                        let end_s = edges.times_s().last().unwrap() + 0.02 * dice.roll();
                        let index = all.len();
                        folder.put_numbers(&format!("{index}.f64"), edges.times_s());
                        let (short, long, framer) = (&bench.short, &bench.long, &bench.framer);
                        writeln!(
                            rows,
                            "{index} {} {} {} {} {} {} {} {} {} {} {end_s}",
                            short.width_s,
                            trigger.word(),
                            long.width_s,
                            long_trigger.word(),
                            framer.rate_bd,
                            framer.data_bits,
                            framer.parity.word(),
                            framer.stop_bits.word(),
                            sense.word(),
                            clock.ticks().unwrap_or(0)
                        )
                        .unwrap();
                        let squared = Traces {
                            squarer: edges.into(),
                            end_s,
                            ..Traces::default()
                        };
                        all.push(squared.rework(&bench));
                    }
                }
            }
        }
    }
    folder.put_text("settings.txt", &rows);
    all
}

#[test]
fn one_shots_and_framer_agree_for_every_setting() {
    let folder = Folder::new();
    let all = cases(&folder);
    folder.run("circuit.py", &[]);
    let (mut characters, mut faulty, mut false_starts) = (0, 0, 0);
    for (index, traces) in all.iter().enumerate() {
        let line_s = folder.numbers(&format!("{index}.line.f64"));
        let apart_s = greatest_difference(traces.long.times_s(), &line_s);
        assert!(
            apart_s < 1e-12,
            "case {index}: the lines are {apart_s} s apart"
        );
        let read = folder.numbers(&format!("{index}.read.f64"));
        let rows = read.chunks(6).take_while(|row| !row[0].is_nan()).count();
        let theirs = &read[..6 * rows];
        let ours: Vec<f64> = traces.characters.iter().flat_map(numbers).collect();
        let apart = greatest_difference(&ours, theirs);
        assert!(
            apart < 1e-6,
            "case {index}: the characters are {apart} apart"
        );
        let theirs_s = &read[6 * (rows + 1)..];
        let apart_s = greatest_difference(&traces.false_starts_s, theirs_s);
        assert!(
            apart_s < 1e-12,
            "case {index}: the false starts are {apart_s} s apart"
        );
        characters += rows;
        faulty += traces.characters.iter().filter(|c| c.faults.any()).count();
        false_starts += theirs_s.len();
    }
    // The cases hold enough of everything to be worth comparing.
    assert!(
        characters > 3000 && faulty > 500 && characters - faulty > 500 && false_starts > 50,
        "{characters} characters, {faulty} with faults, {false_starts} false starts"
    );
}
