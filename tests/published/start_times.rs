//! Where a start bit begins in the recording, whichever tone stands for space.

use pulsewright::settings::{
    Bench, FramerSettings, LongSettings, LongTrigger, Sense, ShortSettings, Trigger,
};
use pulsewright::signal::Chain;
use pulsewright::tape;

/// A character of one start, eight data and two stop bits at 300 Bd (BYTE, February 1976).
const CHARACTER_S: f64 = 11.0 / 300.0;
/// A sample at 48 kHz and what the hysteresis adds.
const ACCURACY_S: f64 = 30e-6;

#[test]
fn characters_begin_where_their_tone_does() {
    let sent: Vec<u8> = (0..=255).collect();
    for sense in [Sense::Normal, Sense::Inverted] {
        for (trigger, width_s) in [
            (Trigger::Rising, 589e-6),
            (Trigger::Falling, 589e-6),
            // With both edges, the half cycles are told apart.
            (Trigger::Both, 294.5e-6),
        ] {
            for long in [LongTrigger::TimeOut, LongTrigger::NextTrigger] {
                let mut bench = Bench {
                    short: ShortSettings { trigger, width_s },
                    long: LongSettings {
                        trigger: long,
                        width_s: 1.1e-3,
                    },
                    framer: FramerSettings {
                        sense,
                        ..Default::default()
                    },
                    ..Default::default()
                };
                if sense == Sense::Inverted {
                    (bench.tape.mark_hz, bench.tape.space_hz) = (1200.0, 2400.0);
                }
                let begin_s = bench.tape.leader_s;
                let traces = Chain::read(&bench, &tape::record(&sent, &bench.tape));
                let case = format!("{sense:?}, {trigger:?}, {long:?}");
                assert_eq!(traces.bytes(), sent, "{case}");
                for (i, character) in traces.characters.iter().enumerate() {
                    let off_s = character.at_s - begin_s - i as f64 * CHARACTER_S;
                    assert!(off_s.abs() < ACCURACY_S, "{case}, {i}: {off_s}");
                }
            }
        }
    }
}
