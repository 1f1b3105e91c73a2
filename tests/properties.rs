//! What must hold for any input and any settings.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use pulsewright::picture::Peaks;
use pulsewright::settings::{
    Bench, FramerSettings, InputSettings, LongTrigger, Parity, Sense, SquarerSettings, StopBits,
    TapeSettings, TickClock, Trigger, Wave,
};
use pulsewright::signal::{Chain, Edges, InputNetwork, Levels, Recording, Samples, Traces};
use pulsewright::tape;

fn parity() -> impl Strategy<Value = Parity> {
    select(vec![
        Parity::None,
        Parity::Even,
        Parity::Odd,
        Parity::Mark,
        Parity::Space,
    ])
}

fn stop_bits() -> impl Strategy<Value = StopBits> {
    select(vec![StopBits::One, StopBits::OneAndHalf, StopBits::Two])
}

fn clock() -> impl Strategy<Value = TickClock> {
    select(vec![TickClock::X16, TickClock::X64, TickClock::Exact])
}

fn trigger() -> impl Strategy<Value = Trigger> {
    select(vec![Trigger::Rising, Trigger::Falling, Trigger::Both])
}

fn sense() -> impl Strategy<Value = Sense> {
    select(vec![Sense::Normal, Sense::Inverted])
}

fn framer() -> impl Strategy<Value = FramerSettings> {
    (
        select(vec![300.0, 1200.0, 2417.3]),
        5u32..=8,
        parity(),
        stop_bits(),
        sense(),
        clock(),
    )
        .prop_map(
            |(rate_bd, data_bits, parity, stop_bits, sense, clock)| FramerSettings {
                rate_bd,
                data_bits,
                parity,
                stop_bits,
                sense,
                clock,
            },
        )
}

/// Any settings, fitting or not.
fn any_bench() -> impl Strategy<Value = Bench> {
    let input = (
        select(vec![0.0, 16.0, 700.0]),
        select(vec![0.0, 3000.0, 20_000.0]),
        select(vec![1.0, 2.5, 40.0]),
        sense(),
    );
    let squarer = (-0.1..0.1, select(vec![0.0, 0.05, 0.2]));
    let widths = (1e-5..2e-3, trigger(), 1e-5..4e-3, any::<bool>());
    (input, squarer, widths, framer()).prop_map(|(input, squarer, widths, framer)| {
        let mut bench = Bench {
            input: InputSettings {
                high_pass_hz: input.0,
                low_pass_hz: input.1,
                gain: input.2,
                sense: input.3,
            },
            squarer: SquarerSettings {
                reference_v: squarer.0,
                hysteresis_v: squarer.1,
            },
            framer,
            ..Default::default()
        };
        (bench.short.width_s, bench.short.trigger) = (widths.0, widths.1);
        bench.long.width_s = widths.2;
        bench.long.trigger = if widths.3 {
            LongTrigger::TimeOut
        } else {
            LongTrigger::NextTrigger
        };
        bench
    })
}

/// A short tape with noise over it, so that every stage has something to do.
fn noisy_tape() -> impl Strategy<Value = Recording> {
    (
        vec(any::<u8>(), 1..6),
        vec(-1f32..1.0, 64..256),
        0f32..0.6,
        select(vec![300.0, 1200.0]),
    )
        .prop_map(|(bytes, noise, noise_v, rate_bd)| {
            let tape = tape::record(
                &bytes,
                &TapeSettings {
                    rate_bd,
                    leader_s: 0.02,
                    trailer_s: 0.02,
                    sample_rate_hz: 22_050,
                    ..Default::default()
                },
            );
            let noise = noise.iter().cycle();
            let samples = tape.samples();
            let samples = samples.iter().zip(noise);
            Recording::new(samples.map(|(v, n)| v + noise_v * n).collect(), 22_050)
        })
}

/// Samples of every kind that a file can hold, not-a-numbers and infinities too.
fn wild_samples() -> impl Strategy<Value = Vec<f32>> {
    vec(
        prop_oneof![
            3 => -1f32..1.0,
            1 => any::<u32>().prop_map(f32::from_bits),
            1 => select(vec![f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX, f32::MIN, 0.0]),
        ],
        0..600,
    )
}

/// Feeds a recording in pieces of the given lengths, over and over.
fn read_in_pieces(bench: &Bench, recording: &Recording, pieces: &[usize]) -> Traces {
    let mut chain = Chain::new(bench, recording.rate_hz());
    let samples = recording.samples();
    let mut rest = &*samples;
    for &length in pieces.iter().cycle() {
        let (piece, behind) = rest.split_at(length.min(rest.len()));
        chain.push(piece);
        rest = behind;
        if rest.is_empty() {
            break;
        }
    }
    chain.finish()
}

fn in_order(edges: &Edges) -> bool {
    edges.times_s().windows(2).all(|pair| pair[0] < pair[1])
        && edges.times_s().iter().all(|t| t.is_finite())
}

/// A tape, and a bench that fits it.
fn fitting_tape() -> impl Strategy<Value = (Bench, Vec<u8>)> {
    let tape = (
        // A long one-shot of 1.1 ms outlasts half a bit from 1200 Bd on.
        select(vec![(300.0, 1.1e-3), (600.0, 1e-3), (1200.0, 920e-6)]),
        select(vec![22_050, 44_100, 48_000, 96_000, 192_000]),
        0.05..5.0,
        select(vec![Wave::Sine, Wave::Square]),
        select(vec![0.0, 0.003, 0.01]),
        0.02..0.05,
    );
    let character = (5u32..=8, parity(), stop_bits(), clock());
    (tape, character, trigger(), sense(), vec(any::<u8>(), 1..24)).prop_map(
        |(tape, character, trigger, sense, bytes)| {
            let mut bench = Bench::default();
            let ((rate_bd, long_s), sample_rate_hz, level_v, wave, gap_s, leader_s) = tape;
            bench.tape = TapeSettings {
                rate_bd,
                sample_rate_hz,
                level_v,
                wave,
                gap_s,
                leader_s,
                trailer_s: 0.02,
                data_bits: character.0,
                parity: character.1,
                stop_bits: character.2,
                ..bench.tape
            };
            bench.framer = FramerSettings {
                rate_bd,
                data_bits: character.0,
                parity: character.1,
                stop_bits: character.2,
                clock: character.3,
                ..bench.framer
            };
            bench.squarer.hysteresis_v = level_v / 10.0;
            // On the edge amid a cycle, a space of one or two cycles shows one time-out too many:
            // only at 300 Bd is that little enough.
            if rate_bd == 300.0 {
                (bench.short.trigger, bench.input.sense) = (trigger, sense);
            } else if trigger == Trigger::Both {
                bench.short.trigger = trigger;
            }
            bench.short.width_s = 589e-6;
            bench.long.width_s = long_s;
            if bench.short.trigger == Trigger::Both {
                // Twice as many triggers: both widths halve.
                bench.short.width_s /= 2.0;
                bench.long.width_s /= 2.0;
            }
            (bench, bytes)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_traces_do_not_depend_on_how_the_recording_is_cut(
        bench in any_bench(),
        recording in noisy_tape(),
        pieces in vec(1usize..3000, 1..8),
    ) {
        let whole = Chain::read(&bench, &recording);
        prop_assert!(!whole.squarer.is_empty());
        prop_assert_eq!(read_in_pieces(&bench, &recording, &pieces), whole);
    }

    #[test]
    fn nor_when_it_comes_sample_by_sample(bench in any_bench(), wild in wild_samples()) {
        let recording = Recording::new(wild, 8000);
        let whole = Chain::read(&bench, &recording);
        prop_assert_eq!(read_in_pieces(&bench, &recording, &[1]), whole);
    }

    #[test]
    fn what_is_recorded_is_read((bench, bytes) in fitting_tape()) {
        let traces = Chain::read(&bench, &tape::record(&bytes, &bench.tape));
        let mask = 0xFF >> (8 - bench.tape.data_bits);
        let sent: Vec<u8> = bytes.iter().map(|b| b & mask).collect();
        prop_assert_eq!(traces.bytes(), sent);
        prop_assert!(traces.characters.iter().all(|c| !c.faults.any()));
    }

    /// Kept as the steps of 16 bits that a file holds, or as volts.
    #[test]
    fn nor_how_the_samples_are_kept(
        bench in any_bench(),
        steps in vec(any::<i16>(), 0..70_000),
        full_scale_v in 0.01f64..20.0,
        cut in any::<bool>(),
    ) {
        // Loud and quiet ones: noise at full scale alone would leave most levels untried.
        let quiet = |i: usize| if cut && i % 5000 > 2500 { 64 } else { 1 };
        let step_v = full_scale_v as f32 / 32_768.0;
        let volts = steps.iter().enumerate().map(|(i, s)| f32::from(s / quiet(i)) * step_v);
        let volts: Vec<f32> = volts.collect();
        let mut kept = Samples::of_full_scale(full_scale_v);
        for piece in volts.chunks(3001) {
            kept.push(piece).unwrap();
        }
        prop_assert!(kept.is_in_steps());
        let plain = Recording::new(volts, 44_100);
        let small = Recording::of(kept, 44_100);
        prop_assert_eq!(Chain::read(&bench, &small), Chain::read(&bench, &plain));
        let near = |r| Chain::near(&bench, r, 0.3, 0.5, 0.1);
        prop_assert_eq!(near(&small), near(&plain));
        prop_assert_eq!(
            Levels::of_recording(&small, full_scale_v),
            Levels::of_recording(&plain, full_scale_v)
        );
        prop_assert_eq!(Peaks::of(small.kept().1), Peaks::of(plain.kept().1));
        let shaped = |r| InputNetwork::stretch(&bench.input, r, 1000..9000);
        prop_assert_eq!(shaped(&small), shaped(&plain));
    }

    #[test]
    fn edges_are_in_order_whatever_is_read(bench in any_bench(), wild in wild_samples()) {
        let traces = Chain::read(&bench, &Recording::new(wild, 8000));
        for edges in [&*traces.squarer, &traces.short, &traces.long] {
            prop_assert!(in_order(edges));
        }
        let mut starts_s = traces.characters.iter().map(|c| c.line_start_s);
        let mut last_s = f64::NEG_INFINITY;
        prop_assert!(starts_s.all(|s| std::mem::replace(&mut last_s, s) < s));
    }

    #[test]
    fn no_samples_make_the_chain_panic(bench in any_bench(), wild in wild_samples()) {
        let mut chain = Chain::new(&bench, 8000);
        chain.push(&wild);
        chain.push(&[]);
        chain.finish();
    }

    #[test]
    fn a_rework_equals_a_reading(bench in any_bench(), other in any_bench(), tape in noisy_tape()) {
        let mut changed = bench;
        (changed.short, changed.long, changed.framer) = (other.short, other.long, other.framer);
        let read = Chain::read(&bench, &tape);
        let reworked = read.rework(&changed);
        prop_assert_eq!(&reworked, &Chain::read(&changed, &tape));
        prop_assert_eq!(reworked.rework_into(reworked.clone(), &bench), read);
    }
}

proptest! {
    /// The first look at a stretch shows what the whole recording gives there.
    #[test]
    fn a_look_at_a_stretch_has_the_edges_of_the_whole(
        bytes in vec(any::<u8>(), 8..16),
        from in 0.2..0.6f64,
        short_s in 450e-6..800e-6,
        long_s in 850e-6..2e-3,
    ) {
        let mut bench = Bench::default();
        (bench.short.width_s, bench.long.width_s) = (short_s, long_s);
        bench.tape.leader_s = 0.1;
        let tape = tape::record(&bytes, &bench.tape);
        let from_s = from * tape.duration_s();
        let (to_s, lead_s) = (from_s + 0.08, 20.0 / 300.0);
        let whole = Chain::read(&bench, &tape);
        let near = Chain::near(&bench, &tape, from_s, to_s, lead_s);
        let inside = |edges: &Edges| edges.times_s()[edges.within(from_s, to_s)].to_vec();
        prop_assert_eq!(inside(&near.squarer), inside(&whole.squarer));
        prop_assert_eq!(inside(&near.short), inside(&whole.short));
        prop_assert_eq!(inside(&near.long), inside(&whole.long));
        prop_assert!(near.squarer.len() < whole.squarer.len());
    }
}

/// Long enough for the chain to forget several times, a character at a time.
#[test]
fn a_chain_that_forgets_reads_the_same() {
    let bytes: Vec<u8> = (0..2000u32).map(|i| (i * 37 % 251) as u8).collect();
    let settings = TapeSettings::default();
    let recording = tape::record(&bytes, &settings);
    let bench = Bench::default();
    let whole = Chain::read(&bench, &recording);
    let mut chain = Chain::new(&bench, recording.rate_hz());
    let (mut characters, mut false_starts_s, mut seen) = (Vec::new(), Vec::new(), 0);
    for part in recording.samples().chunks(2000) {
        chain.push(part);
        seen += part.len();
        let now_s = seen as f64 / f64::from(recording.rate_hz());
        let drained = chain.drain(now_s - 1.0);
        characters.extend(drained.characters);
        false_starts_s.extend(drained.false_starts_s);
    }
    let rest = chain.finish();
    // It has forgotten indeed.
    assert!(rest.squarer.len() < whole.squarer.len() / 3);
    characters.extend(rest.characters);
    false_starts_s.extend(rest.false_starts_s);
    assert_eq!(false_starts_s, whole.false_starts_s);
    assert_eq!(characters.len(), bytes.len());
    assert!(characters == whole.characters);
}
