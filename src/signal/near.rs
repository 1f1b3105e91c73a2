//! Searching on from a place that is known to be near.

/// How far the first step of a search goes.
const STRIDE: usize = 16;

/// The same as `items.partition_point(before)`, found faster where it is little from `near`: what
/// is asked in the order of time need not search everything each time.
pub fn partition_near<T>(items: &[T], near: usize, before: impl Fn(&T) -> bool) -> usize {
    let (mut from, mut stride) = (near.min(items.len()), STRIDE);
    // The answer lies in `from..=to`.
    let mut to = from;
    while from > 0 && !before(&items[from - 1]) {
        to = from - 1;
        from = from.saturating_sub(stride);
        stride *= 2;
    }
    if to == from {
        while items.get(from + stride).is_some_and(&before) {
            from += stride;
            stride *= 2;
        }
        to = (from + stride).min(items.len());
    }
    from + items[from..to].partition_point(before)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_finds_what_a_search_of_everything_finds() {
        let squares: Vec<i64> = (0..100).map(|i| i * i).collect();
        for near in [0, 1, 7, 17, 50, 99, 100, 1000] {
            for limit in [-1, 0, 1, 48, 49, 50, 2500, 9800, 9801, 100_000] {
                let found = partition_near(&squares, near, |n| *n <= limit);
                let expected = squares.partition_point(|n| *n <= limit);
                assert_eq!(found, expected, "{near}, {limit}");
            }
        }
        assert_eq!(partition_near(&[0; 0], 3, |_| true), 0);
    }
}
