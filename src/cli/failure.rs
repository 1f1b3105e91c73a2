//! Why a command did not succeed.

use crate::source::SourceError;
use std::fmt;
use std::process::ExitCode;

/// Why a command did not succeed.
#[derive(Debug)]
pub(super) enum Failure {
    /// The arguments make no sense.
    Usage(String),
    /// They do, but the work could not be done.
    Failed(String),
}

impl Failure {
    /// 1 for failed, 2 for wrong usage.
    pub fn exit_code(&self) -> ExitCode {
        match self {
            Self::Usage(_) => ExitCode::from(2),
            Self::Failed(_) => ExitCode::from(1),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (Self::Usage(text) | Self::Failed(text)) = self;
        f.write_str(text)
    }
}

impl From<String> for Failure {
    fn from(sentence: String) -> Self {
        Self::Failed(sentence)
    }
}

impl From<SourceError> for Failure {
    fn from(error: SourceError) -> Self {
        Self::Failed(error.to_string())
    }
}
