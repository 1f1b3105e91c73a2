//! The framer against published figures for start-stop receivers.

use pulsewright::settings::{Bench, FramerSettings, Parity, StopBits, TapeSettings, TickClock};
use pulsewright::signal::{Chain, Character, Edges, Framer};
use pulsewright::tape;

const RATE_BD: f64 = 300.0;
/// Receiver's clock: 16 ticks a bit.
const TICK_S: f64 = 1.0 / (16.0 * RATE_BD);
/// Far below a tick, far above rounding.
const HAIR_S: f64 = 1e-9;

/// A line that carries `bytes` back to back, ten bits of `bit_s` each, from `start_s` on.
fn line(bytes: &[u8], bit_s: f64, start_s: f64) -> Edges {
    let levels = bytes.iter().flat_map(|&byte| {
        let data = (0..8).map(move |place| byte >> place & 1 == 1);
        std::iter::once(false).chain(data).chain([true])
    });
    let mut edges = Edges::resting(true);
    let mut before = true;
    for (i, level) in levels.enumerate() {
        if level != before {
            edges.push(start_s + i as f64 * bit_s);
            before = level;
        }
    }
    edges
}

fn receive(line: &Edges, end_s: f64) -> Vec<Character> {
    let settings = FramerSettings {
        rate_bd: RATE_BD,
        clock: TickClock::X16,
        ..Default::default()
    };
    let mut framer = Framer::new(&settings, true);
    let mut out = Vec::new();
    framer.run(line.run_from(0), &mut out);
    framer.finish(end_s, &mut out);
    out
}

/// Sends `bytes` with bits longer by the part `error`, the first start edge lying `delay_ticks`
/// before the tick that notices it, and tells whether all arrive without a fault.
fn arrives(bytes: &[u8], error: f64, delay_ticks: f64) -> bool {
    let start_s = (50.0 - delay_ticks) * TICK_S;
    let read = receive(&line(bytes, (1.0 + error) / RATE_BD, start_s), 10.0);
    let values: Vec<u8> = read.iter().map(|c| c.value).collect();
    values == bytes && read.iter().all(|c| !c.faults.any())
}

/// Delays from nothing to all but a whole tick.
fn delays() -> impl Iterator<Item = f64> {
    (0..32)
        .map(|i| f64::from(i) / 32.0)
        .flat_map(|d| [d + HAIR_S / TICK_S, d + 1.0 / 32.0 - HAIR_S / TICK_S])
}

/// Bytes with every kind of neighbour for start and stop bit; back to back, so that with a rate
/// error each character meets the clock at a phase of its own.
const BYTES: [u8; 12] = [
    0x00, 0xFF, 0x55, 0xAA, 0x7F, 0x80, 0x01, 0xFE, 0x00, 0x00, 0xFF, 0xFF,
];

/// Hitachi H8S/2138 hardware manual, SCI, receive margin in asynchronous mode: with a clock of
/// 16 ticks a bit, a character of ten bits survives an error of the bit between -7/160 and
/// +7.5/160.
///
/// The first limit is that of a sender that is too fast. A start is noticed up to one tick late,
/// so its stop bit is sampled up to 8 + 1 + 144 ticks behind the edge and must be there before
/// the tenth bit ends: 153 < 160 (1 - e), e < 7/160.
#[test]
fn a_ten_bit_character_survives_the_published_rate_error() {
    for error in [-7.0 / 160.0 + 1e-5, -0.02, 0.0, 0.02, 7.5 / 160.0 - 1e-5] {
        for delay_ticks in delays() {
            let ok = arrives(&BYTES, error, delay_ticks);
            assert!(ok, "error {error}, start noticed {delay_ticks} ticks late");
        }
    }
}

#[test]
fn just_beyond_the_fast_limit_the_stop_sample_meets_the_next_start() {
    let error = -7.0 / 160.0 - 1e-5;
    let all_but_a_tick = 1.0 - HAIR_S / TICK_S;
    assert!(!arrives(&[0x55, 0x55], error, all_but_a_tick));
    let start_s = (50.0 - all_but_a_tick) * TICK_S;
    let read = receive(&line(&[0x55, 0x55], (1.0 + error) / RATE_BD, start_s), 10.0);
    assert_eq!(read[0].value, 0x55);
    assert_eq!(read[0].faults.words(), ["framing error"]);
    // The same sender is received where the start happens to be noticed at once.
    assert!(arrives(&[0x55], error, HAIR_S / TICK_S));
}

/// The published +7.5/160 (4.69 %) counts half a tick for the middle of the bit. A receiver that
/// samples exactly eight ticks behind the tick that noticed the start stands a little more: the
/// stop bit is sampled at least 8 + 144 ticks behind the edge, when the ninth bit must be over:
/// 152 > 144 (1 + e), e < 8/144 (5.56 %).
#[test]
fn on_the_slow_side_the_limit_is_eight_ticks_in_144() {
    let limit = 8.0 / 144.0;
    for delay_ticks in delays() {
        assert!(arrives(&BYTES, limit - 1e-5, delay_ticks), "{delay_ticks}");
    }
    let at_once = HAIR_S / TICK_S;
    assert!(!arrives(&[0x00], limit + 1e-5, at_once));
    // Noticed half a tick late it is sampled half a tick later, which is late enough.
    assert!(arrives(&[0x00], limit + 1e-5, 0.5));
}

/// Receive margin of the H8 SCI chapters (memory): M = (0.5 - 1/(2N)) - (L - 0.5) F -
/// |D - 0.5| (1 + F)/N, which for N = 16 ticks, clock duty D = 0.5 and no rate error F is
/// 46.875 %. The 1/(2N) is the mean of a delay of 0 to 1 tick: so is the mean of the margins
/// over all phases of the line against the clock.
#[test]
fn the_mean_margin_is_46_875_percent() {
    let phases = 512;
    let margins = (0..phases).map(|i| {
        let delay_ticks = (f64::from(i) + 0.5) / f64::from(phases);
        let start_s = (50.0 - delay_ticks) * TICK_S;
        let read = receive(&line(&[0x55], 1.0 / RATE_BD, start_s), 10.0);
        assert_eq!(read.len(), 1);
        read[0].margin_percent
    });
    let margins: Vec<f64> = margins.collect();
    let mean = margins.iter().sum::<f64>() / f64::from(phases);
    assert!((mean - 46.875).abs() < 1e-6, "{mean}");
    let (least, most) = margins
        .iter()
        .fold((f64::MAX, f64::MIN), |(low, high), &m| {
            (low.min(m), high.max(m))
        });
    // From a whole tick late, 50 - 100/16, to at once, 50.
    assert!((least - 43.75).abs() < 0.02 && (most - 50.0).abs() < 0.02);
}

/// The rate-error term of the same formula, (L - 0.5) F, in bits of the sender: the stop bit is
/// sampled L - 0.5 bits after the start, and a sender that is fast by F has ended its ten bits by
/// F a bit sooner.
#[test]
fn the_margin_shrinks_by_nine_and_a_half_times_the_rate_error() {
    let delay_ticks = 0.5;
    let start_s = (50.0 - delay_ticks) * TICK_S;
    for fast in [0.001, 0.003, 0.01] {
        let read = receive(&line(&[0x55, 0x55], (1.0 - fast) / RATE_BD, start_s), 10.0);
        let margin = read[0].margin_percent / 100.0 / (1.0 - fast);
        let formula = (0.5 - 1.0 / 32.0) - (10.0 - 0.5) * fast;
        // The formula is to first order in F, and leaves out that the half tick of delay grows too.
        let left_out = fast / 32.0 + (9.5 + 1.0 / 32.0) * fast * fast / (1.0 - fast);
        assert!(
            (margin - (formula - left_out)).abs() < 1e-8,
            "{fast}: {margin}"
        );
        // A factor of 9 or 10 would show.
        assert!(left_out < 0.25 * fast);
    }
}

/// Reads a tape recorded with seven data bits and parity as eight data bits without parity.
fn seven_bits_seen_as_eight(text: &[u8], parity: Parity) -> Vec<u8> {
    let settings = TapeSettings {
        data_bits: 7,
        parity,
        leader_s: 0.1,
        trailer_s: 0.1,
        ..Default::default()
    };
    Chain::read(&Bench::default(), &tape::record(text, &settings)).bytes()
}

/// Parity counts the ones of data and parity bit (ANSI X3.16 / ITU-T V.4, memory); the least
/// significant bit comes first and parity behind the data (ANSI X3.15 / ISO 1155, memory). So a
/// seven-bit ASCII character (ECMA-6) with parity, seen as eight bits, has the parity as its
/// highest bit: A (1000001, two ones) is 41 or C1 hexadecimal, C (1000011, three ones) C3 or 43.
#[test]
fn parity_is_the_highest_bit_of_seven_bit_characters() {
    for (parity, seen) in [
        (Parity::Even, [0x41, 0xC3]),
        (Parity::Odd, [0xC1, 0x43]),
        (Parity::Mark, [0xC1, 0xC3]),
        (Parity::Space, [0x41, 0x43]),
    ] {
        assert_eq!(seven_bits_seen_as_eight(b"AC", parity), seen, "{parity:?}");
    }
}

#[test]
fn the_wrong_parity_is_a_fault_of_every_character() {
    let mut bench = Bench::default();
    (bench.tape.parity, bench.tape.stop_bits) = (Parity::Even, StopBits::One);
    (bench.tape.leader_s, bench.tape.trailer_s) = (0.1, 0.1);
    let tape = tape::record(b"SALTMERE", &bench.tape);
    for (parity, wrong) in [(Parity::Even, false), (Parity::Odd, true)] {
        bench.framer.parity = parity;
        let traces = Chain::read(&bench, &tape);
        assert_eq!(traces.bytes(), b"SALTMERE");
        assert!(traces.characters.iter().all(|c| c.faults.parity == wrong));
    }
}
