//! How long a bit lasts on the tape.

use super::stretches::stretches;
use crate::signal::Edges;

/// Runs of space that tell the length of a bit, at the least.
const LEAST_RUNS: usize = 12;

/// The length of a bit in seconds, as the tape itself tells: that of the shorter quarter of all
/// runs of space. Half the runs in text are one bit long. A run is made of cycles from rising edge
/// to rising edge that are longer than `split_s`; `None` where there are too few of them. Above
/// [`super::MOST_EDGES`] edges, looks at stretches spread over them.
pub fn tape_bit_s(squarer: &Edges, split_s: f64) -> Option<f64> {
    let mut runs_s = Vec::new();
    for stretch in stretches(0..squarer.len()).1 {
        let from = stretch.start + usize::from(!squarer.rises(stretch.start));
        let times_s = squarer.times_s().get(from..stretch.end).unwrap_or(&[]);
        let rises_s: Vec<f64> = times_s.iter().copied().step_by(2).collect();
        let is_space = |w: &[f64]| w[1] - w[0] > split_s;
        let cycles: Vec<&[f64]> = rises_s.windows(2).collect();
        let runs = cycles.chunk_by(|a, b| is_space(a) == is_space(b));
        runs_s.extend(
            runs.filter(|run| is_space(run[0]))
                .map(|run| run[run.len() - 1][1] - run[0][0]),
        );
    }
    let quarter = runs_s.len() / 4;
    (runs_s.len() >= LEAST_RUNS).then(|| *runs_s.select_nth_unstable_by(quarter, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Bench;
    use crate::signal::Chain;
    use crate::tape;

    #[test]
    fn a_bit_is_as_long_as_it_was_recorded() {
        for rate_bd in [300.0, 600.0, 1200.0] {
            let mut bench = Bench::default();
            bench.tape.rate_bd = rate_bd;
            let traces = Chain::read(&bench, &tape::record(b"SALTMERE 06:40 3.2 M", &bench.tape));
            let bit_s = tape_bit_s(&traces.squarer, 589e-6).unwrap();
            assert!((bit_s * rate_bd - 1.0).abs() < 0.02, "{rate_bd}: {bit_s}");
        }
    }

    #[test]
    fn few_runs_tell_nothing() {
        let bench = Bench::default();
        let traces = Chain::read(&bench, &tape::record(b"A", &bench.tape));
        assert_eq!(tape_bit_s(&traces.squarer, 589e-6), None);
        assert_eq!(tape_bit_s(&Edges::resting(false), 589e-6), None);
    }
}
