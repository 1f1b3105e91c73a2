//! Keeps the libraries behind a sound system from writing on standard error.
//!
//! ALSA opens whatever its configuration names, and a library behind that may complain of what is
//! not there, as JACK's does of a server that does not run. What fails comes as an error anyway.
//! Such a library has no switch that is safe to use from here, so standard error leads nowhere while
//! devices are named or opened.

#[cfg(target_os = "linux")]
mod linux {
    use std::fs::OpenOptions;
    use std::io;
    use std::os::fd::{AsFd, OwnedFd};
    use std::sync::{Mutex, MutexGuard, PoisonError};

    /// How many keep it muted, and where standard error leads otherwise.
    static MUTED: Mutex<(usize, Option<OwnedFd>)> = Mutex::new((0, None));

    fn muted() -> MutexGuard<'static, (usize, Option<OwnedFd>)> {
        MUTED.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub fn begin() {
        let mut muted = muted();
        if muted.0 == 0 {
            muted.1 = divert().ok();
        }
        muted.0 += 1;
    }

    fn divert() -> io::Result<OwnedFd> {
        let nowhere = OpenOptions::new().write(true).open("/dev/null")?;
        let kept = io::stderr().as_fd().try_clone_to_owned()?;
        rustix::stdio::dup2_stderr(&nowhere)?;
        Ok(kept)
    }

    pub fn end() {
        let mut muted = muted();
        muted.0 -= 1;
        if muted.0 == 0
            && let Some(kept) = muted.1.take()
        {
            let _ = rustix::stdio::dup2_stderr(&kept);
        }
    }
}

/// Standard error leads nowhere until this is dropped. Whoever waits for the libraries holds it, not
/// the thread that they may hang.
pub(super) struct Mute;

impl Mute {
    pub fn begin() -> Self {
        #[cfg(target_os = "linux")]
        linux::begin();
        Self
    }
}

impl Drop for Mute {
    fn drop(&mut self) {
        #[cfg(target_os = "linux")]
        linux::end();
    }
}
