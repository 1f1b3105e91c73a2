//! Which of two rows of instants belong together.

/// What to do with the next instant of each row.
pub(super) enum Partner {
    /// They belong together.
    Both,
    /// That of the first row stands alone.
    First,
    /// That of the second row stands alone.
    Second,
}

/// Looks at the next instants of two rows in the order of time, of which one at least is there:
/// `first(0)` and `second(0)`, with those behind them. They belong together where they lie within
/// `within_s` of each other and neither has a nearer partner.
pub(super) fn partner(
    first: impl Fn(usize) -> Option<f64>,
    second: impl Fn(usize) -> Option<f64>,
    within_s: f64,
) -> Partner {
    let (one, two) = match (first(0), second(0)) {
        (Some(one), Some(two)) => (one, two),
        (Some(_), None) => return Partner::First,
        _ => return Partner::Second,
    };
    let apart_s = (two - one).abs();
    let nearer = |other: Option<f64>, to: f64| other.is_some_and(|s| (s - to).abs() < apart_s);
    if apart_s > within_s {
        if one < two {
            Partner::First
        } else {
            Partner::Second
        }
    } else if nearer(second(1), one) {
        Partner::Second
    } else if nearer(first(1), two) {
        Partner::First
    } else {
        Partner::Both
    }
}
