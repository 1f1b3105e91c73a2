//! Aligns two rows of bytes by their order alone.

/// The most differences that are looked for; the memory grows with the square of that, to 16 MB.
const MOST_DIFFERENCES: usize = 2000;

/// The shortest way from one row to the other: pairs of places, in order, where one of the two is
/// missing when a byte is only in the other row. Pairs may be of bytes that differ. `None` where
/// the rows differ in more than [`MOST_DIFFERENCES`] bytes.
///
/// E. Ukkonen, "Algorithms for approximate string matching", Information and Control 64 (1985),
/// from memory: for ever more differences, how far each diagonal gets.
pub(super) fn align(first: &[u8], second: &[u8]) -> Option<Vec<(Option<usize>, Option<usize>)>> {
    let mut fronts = Fronts {
        first,
        second,
        reached: Vec::new(),
    };
    let last = second.len() as isize - first.len() as isize;
    for differences in 0..=MOST_DIFFERENCES {
        fronts.advance();
        if fronts.get(differences, last) == Some(first.len()) {
            return Some(fronts.way(differences, last));
        }
    }
    None
}

struct Fronts<'a> {
    first: &'a [u8],
    second: &'a [u8],
    /// For each number of differences, for each diagonal from its negative to itself, how much of
    /// the first row is behind; the diagonal is how much more of the second row is.
    reached: Vec<Vec<Option<u32>>>,
}

/// How a byte of one row or both is passed at the cost of one difference.
#[derive(Clone, Copy)]
enum Pass {
    Pair,
    OnlyFirst,
    OnlySecond,
}

impl Fronts<'_> {
    fn get(&self, differences: usize, diagonal: isize) -> Option<usize> {
        let index = usize::try_from(diagonal + differences as isize).ok()?;
        let reached = self.reached.get(differences)?.get(index).copied()??;
        Some(reached as usize)
    }

    /// The furthest that a diagonal gets with one difference more than `before`, before the equal
    /// bytes that follow, and by which pass.
    fn passed(&self, before: usize, diagonal: isize) -> Option<(usize, Pass)> {
        let ways = [
            (diagonal, 1, Pass::Pair),
            (diagonal + 1, 1, Pass::OnlyFirst),
            (diagonal - 1, 0, Pass::OnlySecond),
        ];
        let inside = |&(reached, _): &(usize, Pass)| {
            let other = reached as isize + diagonal;
            reached <= self.first.len() && (0..=self.second.len() as isize).contains(&other)
        };
        ways.into_iter()
            .filter_map(|(from, step, pass)| Some((self.get(before, from)? + step, pass)))
            .filter(inside)
            .max_by_key(|way| way.0)
    }

    /// Allows one difference more.
    fn advance(&mut self) {
        let differences = self.reached.len();
        let diagonals = -(differences as isize)..=differences as isize;
        let front = diagonals.map(|diagonal| {
            let from = match differences {
                0 => 0,
                _ => self.passed(differences - 1, diagonal)?.0,
            };
            let other = (from as isize + diagonal) as usize;
            let pairs = self.first[from..].iter().zip(&self.second[other..]);
            Some((from + pairs.take_while(|(a, b)| a == b).count()) as u32)
        });
        let front = front.collect();
        self.reached.push(front);
    }

    /// The way to the end of both rows, traced back from there.
    fn way(
        &self,
        mut differences: usize,
        mut diagonal: isize,
    ) -> Vec<(Option<usize>, Option<usize>)> {
        let mut way = Vec::new();
        let mut at = self.first.len();
        let other = |at: usize, diagonal: isize| (at as isize + diagonal) as usize;
        loop {
            let passed = match differences {
                0 => None,
                _ => self.passed(differences - 1, diagonal),
            };
            let from = passed.map_or(0, |p| p.0);
            way.extend(
                (from..at)
                    .rev()
                    .map(|i| (Some(i), Some(other(i, diagonal)))),
            );
            at = from;
            let Some((_, pass)) = passed else { break };
            let places = match pass {
                Pass::Pair => (Some(at - 1), Some(other(at, diagonal) - 1)),
                Pass::OnlyFirst => (Some(at - 1), None),
                Pass::OnlySecond => (None, Some(other(at, diagonal) - 1)),
            };
            way.push(places);
            (at, diagonal) = match pass {
                Pass::Pair => (at - 1, diagonal),
                Pass::OnlyFirst => (at - 1, diagonal + 1),
                Pass::OnlySecond => (at, diagonal - 1),
            };
            differences -= 1;
        }
        way.reverse();
        way
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The way drawn: a letter where both are equal, `*` where they differ, `-` only in the first,
    /// `+` only in the second.
    fn drawn(first: &str, second: &str) -> String {
        let (a, b) = (first.as_bytes(), second.as_bytes());
        let way = align(a, b).unwrap();
        let firsts: Vec<_> = way.iter().filter_map(|w| w.0).collect();
        let seconds: Vec<_> = way.iter().filter_map(|w| w.1).collect();
        assert!(firsts.into_iter().eq(0..a.len()) && seconds.into_iter().eq(0..b.len()));
        let sign = |way: &(Option<usize>, Option<usize>)| match *way {
            (Some(i), Some(j)) if a[i] == b[j] => char::from(a[i]),
            (Some(_), Some(_)) => '*',
            (Some(_), None) => '-',
            _ => '+',
        };
        way.iter().map(sign).collect()
    }

    #[test]
    fn the_shortest_way_is_found() {
        for (first, second, wanted) in [
            ("", "", ""),
            ("tide", "tide", "tide"),
            ("tide", "tede", "t*de"),
            ("tide", "ide", "-ide"),
            ("tide", "tidex", "tide+"),
            ("", "ab", "++"),
            ("ab", "", "--"),
            ("saltmere", "altmxere", "-altm+ere"),
            ("ab", "xy", "**"),
        ] {
            assert_eq!(drawn(first, second), wanted, "{first} {second}");
        }
    }

    /// The count of differences is the edit distance: Levenshtein's table, row by row.
    #[test]
    fn no_way_is_shorter() {
        let mut random = crate::tape::Random::new(1, "rows");
        let mut row = || -> Vec<u8> {
            let length = random.next_u64() % 30;
            (0..length)
                .map(|_| (random.next_u64() >> 62) as u8)
                .collect()
        };
        for _ in 0..300 {
            let (a, b) = (row(), row());
            let mut line: Vec<usize> = (0..=b.len()).collect();
            for (i, x) in a.iter().enumerate() {
                let mut corner = std::mem::replace(&mut line[0], i + 1);
                for (j, y) in b.iter().enumerate() {
                    let pair = corner + usize::from(x != y);
                    corner = line[j + 1];
                    line[j + 1] = pair.min(corner + 1).min(line[j] + 1);
                }
            }
            let way = align(&a, &b).unwrap();
            let equal = |w: &(Option<usize>, Option<usize>)| match *w {
                (Some(i), Some(j)) => a[i] == b[j],
                _ => false,
            };
            let differences = way.iter().filter(|w| !equal(w)).count();
            assert_eq!(differences, line[b.len()], "{a:?} {b:?}");
        }
    }

    #[test]
    fn rows_that_have_nothing_in_common_are_given_up() {
        assert!(align(&[0; 3000], &[1; 3000]).is_none());
        assert!(align(&[0; 300], &[1; 300]).is_some());
    }
}
