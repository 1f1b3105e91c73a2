//! Common practice, no source: 100 nF with 22 kohm for the short one-shot and with 82 kohm for
//! the long one. They give 635.6 us and 2.3156 ms on a part with the factor 0.28 (1 + 0.7 kohm/R)
//! and read a stream of 55 hexadecimal, but with a margin under 7 %; on a part with the factor
//! 0.33 they garble it.
//!
//! Why: a space bit triggers the short one-shot at 0, 0.833, 1.667 and 2.5 ms. The line falls at
//! the first time-out and rises one long width behind the last: it is space for 2.5 ms plus the
//! long width, whatever the short one is. The bit behind it is sampled 1.5 bits, 5 ms, behind the
//! fall.

use pulsewright::settings::{Bench, TickClock};
use pulsewright::signal::{Chain, Recording, Traces};
use pulsewright::tape;
use pulsewright::timing::PartType;

const C_FARAD: f64 = 100e-9;
const SHORT_OHM: f64 = 22e3;
const LONG_OHM: f64 = 82e3;
const SENT: [u8; 64] = [0x55; 64];

fn bench_with(factor: f64, series_ohm: f64) -> Bench {
    let part = PartType {
        name: "part",
        about: "a part with the factor in question",
        factor,
        series_ohm,
        least_farad: 0.0,
        source: "common practice",
    };
    let mut bench = Bench::default();
    bench.short.width_s = part.width_s(SHORT_OHM, C_FARAD);
    bench.long.width_s = part.width_s(LONG_OHM, C_FARAD);
    bench
}

/// Readings with the exact clock, and with the clock of 16 ticks at ten phases: at 48 kHz and
/// 300 Bd, ten samples are one tick.
fn readings(mut bench: Bench) -> (Traces, Vec<Traces>) {
    let tape = tape::record(&SENT, &bench.tape);
    let ticking = (0..10)
        .map(|skip| {
            let later = Recording::new(tape.samples()[skip..].to_vec(), tape.rate_hz());
            Chain::read(&bench, &later)
        })
        .collect();
    bench.framer.clock = TickClock::Exact;
    (Chain::read(&bench, &tape), ticking)
}

fn least_margin(traces: &Traces) -> f64 {
    let margins = traces.characters.iter().map(|c| c.margin_percent);
    margins.fold(f64::INFINITY, f64::min)
}

#[test]
fn with_a_factor_of_0_28_it_reads_with_a_margin_under_7_percent() {
    let bench = bench_with(0.28, 700.0);
    assert!((bench.short.width_s - 635.6e-6).abs() < 1e-9);
    assert!((bench.long.width_s - 2.3156e-3).abs() < 1e-9);
    let (exact, ticking) = readings(bench);
    for traces in ticking.iter().chain([&exact]) {
        assert_eq!(traces.bytes(), SENT);
        assert!(traces.characters.iter().all(|c| !c.faults.any()));
    }
    // 5 ms - 2.5 ms - 2.3156 ms of 3.3333 ms: 5.53 %.
    assert!((least_margin(&exact) - 5.53).abs() < 0.05);
    // A start noticed up to a tick late gives up to 6.25 % more to this transition.
    let margins: Vec<f64> = ticking.iter().map(least_margin).collect();
    assert!(margins.iter().any(|&m| m < 7.0), "{margins:?}");
    assert!(
        margins.iter().all(|m| (5.48..11.83).contains(m)),
        "{margins:?}"
    );
}

#[test]
fn with_a_factor_of_0_33_the_same_parts_garble_it() {
    let bench = bench_with(0.33, 0.0);
    assert!((bench.short.width_s - 726e-6).abs() < 1e-9);
    assert!((bench.long.width_s - 2.706e-3).abs() < 1e-9);
    let (exact, ticking) = readings(bench);
    // Space for 5.206 ms: every mark between two spaces is lost.
    for traces in ticking.iter().chain([&exact]) {
        // The line holds characters; none of them is the one that was sent.
        assert!(!traces.characters.is_empty());
        assert!(traces.bytes().iter().all(|&b| b != 0x55));
    }
}
