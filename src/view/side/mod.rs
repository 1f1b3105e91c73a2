//! The panel beside the lanes: listing, spectrum, cycle lengths.

mod axes;
mod lengths;
mod listing;
mod spectrum;

pub use lengths::lengths_chart;
pub use listing::Listing;
pub use spectrum::spectrum_chart;

/// What the panel shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The characters as bytes.
    Listing,
    /// The spectrum of what is in view.
    Spectrum,
    /// How long the cycles in view are.
    Lengths,
}

impl Side {
    /// Every content.
    pub const ALL: [Side; 3] = [Side::Listing, Side::Spectrum, Side::Lengths];

    /// Its name.
    pub fn title(self) -> &'static str {
        match self {
            Side::Listing => "Listing",
            Side::Spectrum => "Spectrum",
            Side::Lengths => "Cycle lengths",
        }
    }
}
