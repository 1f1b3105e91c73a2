//! What must hold for worn tapes of any bytes, with any seed.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use pulsewright::settings::{Bench, KNOBS, Knob, Sense, WearSettings};
use pulsewright::signal::Chain;
use pulsewright::study::score;
use pulsewright::tape::{Content, Tape, make};

/// A kind of wear, so mild that the bench as it is still reads every byte.
type Mild = (&'static str, fn(&mut WearSettings));

/// Every kind once.
const MILD: [Mild; 14] = [
    ("saturation", |w| w.saturation_db = 6.0),
    ("slow", |w| w.speed_percent = -3.0),
    ("fast", |w| w.speed_percent = 3.0),
    ("wow", |w| w.wow_percent = 2.0),
    ("flutter", |w| w.flutter_percent = 1.0),
    ("unsteady", |w| w.unsteady_percent = 2.0),
    ("drop-outs", |w| {
        (w.drop_outs_per_min, w.drop_out_depth_db) = (200.0, 10.0);
    }),
    ("azimuth", |w| w.azimuth_deg = 0.3),
    ("low-pass", |w| w.low_pass_hz = 4000.0),
    ("noise", |w| {
        (w.white_noise_db, w.pink_noise_db) = (26.0, 26.0);
    }),
    ("hum", |w| w.hum_v = 0.05),
    ("clicks", |w| (w.clicks_per_min, w.click_v) = (300.0, 0.02)),
    ("offset", |w| w.offset_v = -0.05),
    ("sense", |w| w.sense = Sense::Inverted),
];

fn short() -> Bench {
    let mut bench = Bench::default();
    (bench.tape.leader_s, bench.tape.trailer_s) = (0.1, 0.1);
    bench
}

fn worn(bytes: &[u8], seed: u32, change: impl Fn(&mut WearSettings)) -> Tape {
    let mut wear = WearSettings {
        seed,
        ..Default::default()
    };
    change(&mut wear);
    make(&Content::bytes(bytes), &short().tape, &wear)
}

fn read_right(tape: &Tape) -> Result<(), TestCaseError> {
    let read = Chain::read(&short(), &tape.recording).characters;
    let score = score(&tape.truth.characters, &read, 0.0..f64::INFINITY);
    prop_assert!(score.is_perfect(), "{:?}", score.misses);
    // The filters delay by less than a quarter of a bit.
    for (true_one, read) in tape.truth.characters.iter().zip(&read) {
        prop_assert!((true_one.at_s - read.at_s).abs() < 0.25 / 300.0);
    }
    Ok(())
}

/// Any wear at all, every knob within its range.
fn any_wear() -> impl Strategy<Value = WearSettings> {
    let knobs: Vec<&Knob> = KNOBS.iter().filter(|k| k.stage == "wear").collect();
    vec((0.0..1.0, any::<bool>()), knobs.len()).prop_map(move |draws| {
        let mut bench = Bench::default();
        for (knob, (part, on)) in knobs.iter().zip(draws) {
            if on {
                // From the least to the greatest by ratio, whatever the range is.
                knob.set_clamped(&mut bench, 1e-3 * 1e7f64.powf(part));
            }
        }
        bench.wear
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn mild_wear_of_every_kind_is_read(
        bytes in vec(any::<u8>(), 1..20),
        seed in any::<u32>(),
        (_, change) in select(&MILD[..]),
    ) {
        read_right(&worn(&bytes, seed, change))?;
    }

    #[test]
    fn so_are_some_kinds_together(bytes in vec(any::<u8>(), 1..20), seed in any::<u32>()) {
        read_right(&worn(&bytes, seed, |w| {
            (w.speed_percent, w.wow_percent, w.flutter_percent) = (1.5, 0.5, 0.2);
            (w.white_noise_db, w.pink_noise_db) = (30.0, 30.0);
            (w.hum_v, w.azimuth_deg) = (0.02, 0.1);
        }))?;
    }

    #[test]
    fn one_seed_always_wears_a_tape_alike(
        bytes in vec(any::<u8>(), 0..6),
        wear in any_wear(),
    ) {
        let tape = || make(&Content::bytes(&bytes), &short().tape, &wear);
        let once = tape();
        prop_assert!(once.recording.samples().iter().all(|v| v.is_finite()));
        prop_assert_eq!(once.truth.bytes(), &bytes[..]);
        let starts = once.truth.characters.windows(2);
        prop_assert!(starts.into_iter().all(|p| p[0].at_s < p[1].at_s));
        prop_assert_eq!(once, tape());
    }
}

/// The kinds that are random differ from seed to seed, the others do not.
#[test]
fn another_seed_wears_it_another_way() {
    let random = [
        "wow",
        "flutter",
        "unsteady",
        "drop-outs",
        "noise",
        "hum",
        "clicks",
    ];
    for (name, change) in MILD {
        let [one, other] = [1, 2].map(|seed| worn(b"tide", seed, change));
        let alike = one.recording == other.recording;
        assert_eq!(alike, !random.contains(&name), "{name}");
    }
}

/// Turning on one kind does not change what another draws.
#[test]
fn kinds_do_not_disturb_each_other() {
    let drop_outs = |w: &mut WearSettings| w.drop_outs_per_min = 300.0;
    let alone = worn(b"tide", 1, drop_outs);
    let beside = worn(b"tide", 1, |w| {
        drop_outs(w);
        w.hum_v = 0.1;
        w.white_noise_db = 20.0;
    });
    let begins_s = |tape: &Tape| tape.truth.applied.drop_outs_s.clone();
    assert!(!begins_s(&alone).is_empty());
    assert_eq!(begins_s(&alone), begins_s(&beside));
}
