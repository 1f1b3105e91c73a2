//! Advice is tested by applying it: to tapes with known faults, clean ones, and no tape at all.

use pulsewright::settings::{Bench, Parity, Sense, WearSettings};
use pulsewright::signal::{Chain, Levels, Recording, Traces};
use pulsewright::study::{Advice, InMemory, advise};
use pulsewright::tape::{Content, make};

const TEXT: &[u8] = b"SALTMERE 06:40 3.2 M (INVENTED)";

fn advice_on(recording: &Recording, bench: &Bench) -> Vec<Advice> {
    let levels = Levels::of_recording(recording, 1.0);
    let traces = Chain::read(bench, recording);
    let mut again = InMemory {
        recording,
        source: bench.source,
        cancelled: &|| false,
    };
    advise(&mut again, bench, &traces, &levels)
}

fn right(traces: &Traces) -> usize {
    // Longest common subsequence would be exact; matches in order serve for what is compared here.
    let mut at = 0;
    let mut count = 0;
    for byte in traces.bytes() {
        if let Some(found) = TEXT[at..].iter().take(4).position(|b| *b == byte) {
            at += found + 1;
            count += 1;
        }
    }
    count
}

/// A tape of the text as made with `recorded`, worn, and what comes of reading it with `bench`.
fn tried(recorded: &Bench, wear: &WearSettings, bench: &Bench) -> (usize, usize, Vec<Advice>) {
    let mut recorded = *recorded;
    (recorded.tape.leader_s, recorded.tape.trailer_s) = (0.5, 0.2);
    let tape = make(&Content::bytes(TEXT), &recorded.tape, wear);
    let before = right(&Chain::read(bench, &tape.recording));
    let advice = advice_on(&tape.recording, bench);
    let mut after_bench = *bench;
    if let Some(first) = advice.first() {
        first.apply(&mut after_bench);
    }
    let after = right(&Chain::read(&after_bench, &tape.recording));
    (before, after, advice)
}

fn bench(change: impl Fn(&mut Bench)) -> Bench {
    let mut bench = Bench::default();
    change(&mut bench);
    bench
}

fn wear(change: impl Fn(&mut WearSettings)) -> WearSettings {
    let mut wear = WearSettings::default();
    change(&mut wear);
    wear
}

/// Each fault alone: what is wrong with the tape or the settings, and whether a setting can mend
/// all of it.
fn faults() -> Vec<(&'static str, Bench, WearSettings, Bench)> {
    let plain = Bench::default();
    let none = WearSettings::default();
    vec![
        ("low level", bench(|b| b.tape.level_v = 0.02), none, plain),
        (
            "wide hysteresis",
            plain,
            none,
            bench(|b| b.squarer.hysteresis_v = 1.02),
        ),
        (
            "reference too high",
            plain,
            none,
            bench(|b| b.squarer.reference_v = 0.6),
        ),
        ("offset", plain, wear(|w| w.offset_v = 0.7), plain),
        ("hum", plain, wear(|w| w.hum_v = 0.6), plain),
        ("noise", plain, wear(|w| w.white_noise_db = 6.0), plain),
        (
            "noise and a narrow hysteresis",
            plain,
            wear(|w| w.white_noise_db = 12.0),
            bench(|b| b.squarer.hysteresis_v = 0.01),
        ),
        ("clicks", plain, wear(|w| w.clicks_per_min = 200.0), plain),
        (
            "short width too short",
            plain,
            none,
            bench(|b| b.short.width_s = 300e-6),
        ),
        (
            "short width too long",
            plain,
            none,
            bench(|b| b.short.width_s = 900e-6),
        ),
        (
            "long width too short",
            plain,
            none,
            bench(|b| b.long.width_s = 700e-6),
        ),
        (
            "long width too long",
            plain,
            none,
            bench(|b| b.long.width_s = 3e-3),
        ),
        (
            "both widths wrong",
            plain,
            none,
            bench(|b| (b.short.width_s, b.long.width_s) = (300e-6, 3e-3)),
        ),
        ("slow tape", plain, wear(|w| w.speed_percent = -7.0), plain),
        (
            "very fast tape",
            plain,
            wear(|w| w.speed_percent = 10.0),
            plain,
        ),
        ("fast tape", plain, wear(|w| w.speed_percent = 8.0), plain),
        ("1200 Bd", bench(|b| b.tape.rate_bd = 1200.0), none, plain),
        ("600 Bd", bench(|b| b.tape.rate_bd = 600.0), none, plain),
        (
            "much hum",
            bench(|b| b.tape.level_v = 0.4),
            wear(|w| w.hum_v = 0.5),
            plain,
        ),
        (
            "hum beyond the signal",
            plain,
            wear(|w| w.hum_v = 1.0),
            plain,
        ),
        (
            "300 Bd read as 1200 Bd",
            plain,
            none,
            bench(|b| pulsewright::settings::PRESETS[1].apply(b)),
        ),
        (
            "exchanged tones",
            bench(|b| (b.tape.mark_hz, b.tape.space_hz) = (1200.0, 2400.0)),
            none,
            plain,
        ),
        (
            "line sense",
            plain,
            none,
            bench(|b| b.framer.sense = Sense::Inverted),
        ),
        (
            "parity expected",
            plain,
            none,
            bench(|b| b.framer.parity = Parity::Even),
        ),
        ("dull treble", plain, wear(|w| w.low_pass_hz = 900.0), plain),
    ]
}

#[test]
fn following_advice_reads_more_and_never_less() {
    let mut cured = 0;
    let mut missed = Vec::new();
    for (name, recorded, wear, bench) in faults() {
        let (before, after, advice) = tried(&recorded, &wear, &bench);
        println!(
            "{name}: {before} -> {after} of {}; {:?}",
            TEXT.len(),
            advice.first().map(|a| &a.says)
        );
        assert!(after >= before, "{name}: {before} before, {after} after");
        if after >= TEXT.len() - 1 {
            cured += 1;
        } else {
            missed.push(name);
        }
    }
    assert!(cured >= 24, "{cured} cured; not: {missed:?}");
}

#[test]
fn a_clean_or_mildly_worn_tape_gets_no_advice() {
    for (i, wear) in [
        WearSettings::default(),
        wear(|w| w.white_noise_db = 30.0),
        wear(|w| (w.wow_percent, w.flutter_percent) = (0.5, 0.3)),
        wear(|w| w.speed_percent = 1.0),
        wear(|w| w.hum_v = 0.02),
    ]
    .iter()
    .enumerate()
    {
        for rate_hz in [8_000, 44_100] {
            let recorded = bench(|b| b.tape.sample_rate_hz = rate_hz);
            let (_, _, advice) = tried(&recorded, wear, &Bench::default());
            assert!(advice.is_empty(), "wear {i} at {rate_hz} Hz: {advice:?}");
        }
    }
}

/// White noise, hum alone and silence are no tape, whatever is tried.
#[test]
fn no_advice_without_a_tape() {
    let mut state = 1u64;
    let mut noise = move || {
        state = state
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (state >> 40) as f32 / (1u64 << 23) as f32 - 1.0
    };
    let white: Vec<f32> = (0..2 * 44_100).map(|_| noise() * 0.5).collect();
    let hum = (0..2 * 44_100).map(|i| (i as f32 / 44_100.0 * 50.0 * std::f32::consts::TAU).sin());
    for (name, samples) in [
        ("noise", white),
        ("hum", hum.collect()),
        ("silence", vec![0.0; 2 * 44_100]),
        ("nothing", Vec::new()),
    ] {
        let advice = advice_on(&Recording::new(samples, 44_100), &Bench::default());
        assert!(advice.is_empty(), "{name}: {advice:?}");
    }
}
