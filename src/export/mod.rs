//! Results to bytes. Everything here is pure, but for [`save`].

mod png;
mod svg;
mod wav;

pub use png::png;
pub use svg::svg;
pub use wav::wav;
