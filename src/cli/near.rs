//! Words that are nearly the one that was written.

/// The ones of `words` that differ from `word` by a slip of the fingers, the nearest first.
pub(super) fn near<'a>(word: &str, words: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let most = match word.chars().count() {
        0..=2 => return Vec::new(),
        3..=4 => 1,
        5..=8 => 2,
        _ => 3,
    };
    let mut near: Vec<_> = words
        .map(|w| (slips(&word.to_lowercase(), w), w))
        .filter(|(slips, _)| *slips <= most)
        .collect();
    near.sort_by_key(|n| n.0);
    near.into_iter().map(|n| n.1).collect()
}

/// How many letters must be put in, left out, changed or exchanged with the next one to make `b`
/// of `a` (optimal string alignment).
fn slips(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![(0..=b.len()).collect::<Vec<_>>()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let changed = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[i - 1][j - 1] + changed)
                .min(rows[i - 1][j] + 1)
                .min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_a_letter_too_many_too_few_wrong_or_exchanged() {
        for (a, b, count) in [
            ("", "ab", 2),
            ("raed", "read", 1),
            ("rea", "read", 1),
            ("reead", "read", 1),
            ("lead", "read", 1),
            ("width", "pitch", 3),
        ] {
            assert_eq!(slips(a, b), count, "{a} {b}");
            assert_eq!(slips(b, a), count, "{b} {a}");
        }
    }

    #[test]
    fn the_nearest_comes_first_and_short_words_are_near_to_nothing() {
        let words = ["short-width", "long-width", "out"];
        assert_eq!(near("shotr-widht", words.into_iter()), ["short-width"]);
        assert_eq!(near("Out", words.into_iter()), ["out"]);
        assert!(near("o", words.into_iter()).is_empty());
        assert!(near("colour", words.into_iter()).is_empty());
    }
}
