//! All that a capture has brought so far, while the lanes show its last stretch.

use crate::signal::{Character, Traces, least_margin_percent};
use crate::study;
use crate::view::overview_strip::Stamp;
use crate::view::reading::{Extent, Layout, Tally};
use std::sync::Arc;

/// What has been read of a capture by its own framer, as it came. Times count from its beginning.
#[derive(Default)]
pub struct Captured {
    /// All characters; of the stages before the framer, nothing is kept.
    pub traces: Arc<Traces>,
    /// Where what lies.
    pub layout: Layout,
}

impl Captured {
    /// Takes what has come: the capture now ends at `end_s`.
    pub fn take(&mut self, characters: &[Character], end_s: f64) {
        let traces = Arc::make_mut(&mut self.traces);
        traces.end_s = end_s;
        let known = traces.characters.len();
        traces.characters.extend(characters);
        let faulty =
            (known..traces.characters.len()).filter(|&i| traces.characters[i].faults.any());
        traces.faulty.extend(faulty.collect::<Vec<_>>());
        let margins = [
            self.layout.least_margin_percent,
            least_margin_percent(characters),
        ];
        self.layout.least_margin_percent = margins.into_iter().flatten().reduce(f64::min);
        // Only the last of those known may go on.
        let first = known.saturating_sub(1);
        let fresh = study::blocks(&traces.characters[first..]).into_iter();
        for block in fresh.map(|b| b.start + first..b.end + first) {
            match self.layout.blocks.last_mut() {
                Some(last) if block.start < last.end => last.end = block.end,
                _ => self.layout.blocks.push(block),
            }
        }
    }

    /// The characters that begin at this instant or after it.
    pub fn since(&self, from_s: f64) -> &[Character] {
        let all = &self.traces.characters;
        &all[all.partition_point(|c| c.at_s < from_s)..]
    }

    /// How much it is, with so many false starts.
    pub fn tally(&self, false_starts: usize) -> Tally {
        Tally {
            characters: self.traces.characters.len(),
            faulty: self.traces.faulty.len(),
            blocks: self.layout.blocks.len(),
            least_margin_percent: self.layout.least_margin_percent,
            false_starts,
            of: Extent::Captured,
        }
    }

    /// What the overview depends on.
    pub fn stamp(&self) -> Stamp {
        let quarters = (self.traces.end_s * 4.0) as u64;
        Stamp::Captured(self.traces.characters.len(), quarters)
    }

    /// Takes the leaders that lie in the stretch from `from_s` on, in the place of those known
    /// there; one that began before that goes on.
    pub fn take_leaders(&mut self, from_s: f64, leaders: impl Iterator<Item = (f64, f64)>) {
        let all = &mut self.layout.leaders;
        let before = all.partition_point(|l| l.1 < from_s);
        let reaches = all.get(before).copied().filter(|l| l.0 < from_s);
        all.truncate(before);
        all.extend(reaches);
        for (begin_s, end_s) in leaders {
            match all.last_mut() {
                Some(last) if begin_s <= last.1 => last.1 = last.1.max(end_s),
                _ => all.push((begin_s, end_s)),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Bench;
    use crate::signal::Chain;
    use crate::tape;

    /// Three stretches of characters with pauses between them, taken in parts of any length.
    #[test]
    fn what_comes_in_parts_is_laid_out_as_the_whole() {
        let bench = Bench::default();
        let mut one = Chain::read(&bench, &tape::record(b"SALTMERE", &bench.tape)).characters;
        one[2].faults.framing = true;
        one[5].margin_percent = 7.0;
        let all: Vec<_> = (0..3)
            .flat_map(|n| one.iter().map(move |c| c.moved(f64::from(n) * 10.0)))
            .collect();
        for step in [1, 3, 5, 8, 24] {
            let mut captured = Captured::default();
            captured.take(&[], 1.0);
            for part in all.chunks(step) {
                captured.take(part, part.last().unwrap().line_end_s());
            }
            assert_eq!(captured.traces.characters, all);
            assert_eq!(captured.traces.faulty, [2, 10, 18]);
            assert_eq!(captured.layout.blocks, [0..8, 8..16, 16..24], "{step}");
            assert_eq!(captured.layout.least_margin_percent, Some(7.0));
        }
    }

    #[test]
    fn leaders_go_on_where_the_stretch_has_rolled_over_their_beginning() {
        let mut captured = Captured::default();
        let mut take = |from_s: f64, leaders: &[(f64, f64)]| {
            captured.take_leaders(from_s, leaders.iter().copied());
            captured.layout.leaders.clone()
        };
        assert_eq!(take(0.0, &[(1.0, 3.0)]), [(1.0, 3.0)]);
        assert_eq!(take(2.0, &[(2.0, 5.0)]), [(1.0, 5.0)]);
        // The rest is too short to be found.
        assert_eq!(take(4.9, &[(6.0, 7.0)]), [(1.0, 5.0), (6.0, 7.0)]);
        assert_eq!(take(5.5, &[(6.0, 8.0)]), [(1.0, 5.0), (6.0, 8.0)]);
        // What was found in the stretch is not there any more.
        assert_eq!(take(5.5, &[]), [(1.0, 5.0)]);
    }
}
