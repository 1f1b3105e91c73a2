//! Lengths parted into two groups.

/// Parts sorted lengths where that makes the two groups most alike in themselves: two means of
/// their logarithms, begun in the middle of the range. Gives how many are in the lower group;
/// `None` where all fall into one. The lengths are above zero.
pub(super) fn two_means(lengths: &[f64]) -> Option<usize> {
    let (first, last) = (*lengths.first()?, *lengths.last()?);
    let mut split = (first * last).sqrt();
    let mean_log = |group: &[f64]| group.iter().map(|s| s.ln()).sum::<f64>() / group.len() as f64;
    for _ in 0..8 {
        let (low, high) = lengths.split_at(lengths.partition_point(|&s| s <= split));
        if low.is_empty() || high.is_empty() {
            return None;
        }
        split = ((mean_log(low) + mean_log(high)) / 2.0).exp();
    }
    Some(lengths.partition_point(|&s| s <= split))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_of_any_sizes_are_parted_between_them() {
        let mut some = vec![0.4; 500];
        some.extend([0.41, 0.42, 0.8, 0.81, 0.9]);
        assert_eq!(two_means(&some), Some(502));
        assert_eq!(two_means(&[0.3, 0.8]), Some(1));
        assert_eq!(two_means(&[0.4; 7]), None);
        assert_eq!(two_means(&[]), None);
    }
}
