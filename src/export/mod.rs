//! Results to bytes. Everything here is pure, but for [`save`].

mod csv;
mod events;
mod json;
mod knob_values;
mod listing;
mod png;
mod records;
mod save;
mod score;
mod summary;
mod svg;
mod truth;
mod vcd;
mod wav;

pub use csv::csv;
pub use json::{Reading, json, json_unread};
pub use listing::{listing, sign};
pub use png::{Pixels, pixels, png};
pub use records::{intel_hex, parse_address, s_records};
pub use save::{Batch, Identity, identity, is_stream, save, would_replace};
pub use score::score;
pub use summary::Summary;
pub use svg::svg;
pub use truth::{read_truth, truth, truth_beside};
pub use vcd::vcd;
pub use wav::{clipped, wav, wav_as};
