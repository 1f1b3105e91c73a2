//! The window.

use crate::settings::Bench;
use std::path::PathBuf;

/// PLACEHOLDER
#[derive(Debug)]
pub struct Request {
    /// p
    pub file: Option<PathBuf>,
    /// p
    pub bench: Bench,
}

/// PLACEHOLDER
pub fn run(_request: Request) -> Result<(), String> {
    Err("There is no window yet.".into())
}
