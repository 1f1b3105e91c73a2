//! Waiting with a deadline: a sound server that hangs must hang nothing else.

use crate::source::reason;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

/// How long opening a device may take.
pub(super) const OPEN: Duration = Duration::from_secs(5);
/// How long one host may take to name its devices.
pub(super) const LIST: Duration = Duration::from_secs(4);

/// What a thread holds, a stream above all, until this is dropped. It is dropped on that thread,
/// which nobody waits for: some systems hang there.
pub(super) struct Held {
    _release: Sender<()>,
}

/// Does `work` on a thread of its own, for `limit` at the most.
///
/// # Errors
/// A sentence, where it takes longer; `what` names the work.
pub(super) fn within<T: Send + 'static>(
    limit: Duration,
    what: &str,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, String> {
    let (tell, told) = mpsc::channel();
    spawn(move || {
        let _ = tell.send(work());
    })?;
    told.recv_timeout(limit).map_err(|e| late(e, what, limit))
}

/// Lets `open` make something that must be held, on a thread that holds it.
///
/// # Errors
/// The sentence of `open`, or one where it takes longer than `limit`.
pub(super) fn hold<H: 'static, T: Send + 'static>(
    limit: Duration,
    what: &str,
    open: impl FnOnce() -> Result<(H, T), String> + Send + 'static,
) -> Result<(Held, T), String> {
    let (tell, told) = mpsc::channel();
    let (release, released) = mpsc::channel::<()>();
    spawn(move || match open() {
        Ok((held, result)) => {
            if tell.send(Ok(result)).is_ok() {
                // Ends with the sender.
                let _ = released.recv();
            }
            drop(held);
        }
        Err(why) => {
            let _ = tell.send(Err(why));
        }
    })?;
    let result = told.recv_timeout(limit);
    let result = result.map_err(|e| late(e, what, limit))??;
    Ok((Held { _release: release }, result))
}

fn spawn(work: impl FnOnce() + Send + 'static) -> Result<(), String> {
    let named = thread::Builder::new().name("sound".into());
    let thread = named.spawn(|| {
        quiet();
        work();
    });
    thread
        .map(drop)
        .map_err(|e| format!("The system gives no thread: {}.", reason(&e)))
}

/// Keeps ALSA from writing on standard error what this thread has from it as errors anyway: it
/// tries devices that nobody has, and complains of each.
fn quiet() {
    #[cfg(target_os = "linux")]
    let _ = alsa::Output::local_error_handler();
}

fn late(e: RecvTimeoutError, what: &str, limit: Duration) -> String {
    match e {
        RecvTimeoutError::Timeout => format!(
            "The sound system does not answer: {what} took longer than {} s. Restart the sound \
             server, or choose another host.",
            limit.as_secs()
        ),
        RecvTimeoutError::Disconnected => format!("The sound system failed while {what}."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_hangs_becomes_a_sentence() {
        let (_keep, never) = mpsc::channel::<()>();
        let err = within(Duration::from_millis(20), "opening the device", move || {
            let _ = never.recv();
        });
        assert!(err.unwrap_err().contains("opening the device took longer"));
        assert_eq!(within(OPEN, "adding", || 2 + 2), Ok(4));
    }

    #[test]
    fn what_is_held_is_dropped_on_its_thread() {
        struct Tells(Sender<thread::ThreadId>);
        impl Drop for Tells {
            fn drop(&mut self) {
                let _ = self.0.send(thread::current().id());
            }
        }
        let (tell, told) = mpsc::channel();
        let (held, id) = hold(OPEN, "opening", move || {
            Ok((Tells(tell), thread::current().id()))
        })
        .unwrap();
        assert!(told.try_recv().is_err());
        drop(held);
        assert_eq!(told.recv_timeout(OPEN), Ok(id));
        assert_ne!(id, thread::current().id());
        let err = hold::<(), ()>(OPEN, "opening", || Err("no".into()));
        assert_eq!(err.err(), Some("no".into()));
    }
}
