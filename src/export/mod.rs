//! Results to bytes. Everything here is pure, but for [`save`].

mod png;
mod svg;

pub use png::png;
pub use svg::svg;
