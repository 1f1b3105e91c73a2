//! A named thread that works on the newest request.
//!
//! A request that arrives while another is worked on replaces any that still waits; the work
//! itself can ask whether it has been overtaken and stop early.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// A thread that turns requests into answers, the newest first and only.
pub struct Worker<Request, Answer> {
    post: Arc<Post<Request>>,
    answers: Receiver<Answer>,
}

/// Lets the work see whether a newer request waits.
pub struct Overtaken<'a>(&'a dyn Fn() -> bool);

impl Overtaken<'_> {
    /// Whether a newer request waits, so that this answer would not be looked at.
    pub fn is(&self) -> bool {
        (self.0)()
    }
}

struct Post<Request> {
    slot: Mutex<Slot<Request>>,
    arrived: Condvar,
}

struct Slot<Request> {
    next: Option<Request>,
    busy: bool,
    closed: bool,
}

impl<Request> Post<Request> {
    /// The slot. A panic while it was held leaves it as it was, which is always whole.
    fn lock(&self) -> MutexGuard<'_, Slot<Request>> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn take(&self) -> Option<Request> {
        let mut slot = self.lock();
        loop {
            if slot.closed {
                return None;
            }
            if let Some(request) = slot.next.take() {
                slot.busy = true;
                return Some(request);
            }
            slot.busy = false;
            slot = self
                .arrived
                .wait(slot)
                .unwrap_or_else(PoisonError::into_inner);
        }
    }
}

impl<Request: Send + 'static, Answer: Send + 'static> Worker<Request, Answer> {
    /// Starts a thread of the given name. `work` answers a request, or gives `None` where it
    /// has been overtaken; `wake` is called behind every answer.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(
        name: &str,
        mut work: impl FnMut(Request, &Overtaken<'_>) -> Option<Answer> + Send + 'static,
        wake: impl Fn() + Send + 'static,
    ) -> std::io::Result<Self> {
        let post = Arc::new(Post {
            slot: Mutex::new(Slot {
                next: None,
                busy: false,
                closed: false,
            }),
            arrived: Condvar::new(),
        });
        let (sender, answers): (Sender<Answer>, _) = channel();
        let inbox = Arc::clone(&post);
        thread::Builder::new().name(name.into()).spawn(move || {
            while let Some(request) = inbox.take() {
                let overtaken = || {
                    let slot = inbox.lock();
                    slot.next.is_some() || slot.closed
                };
                let answer = work(request, &Overtaken(&overtaken));
                if let Some(answer) = answer
                    && sender.send(answer).is_err()
                {
                    return;
                }
                wake();
            }
        })?;
        Ok(Self { post, answers })
    }

    /// Asks for work; a request that still waits is dropped.
    pub fn ask(&self, request: Request) {
        self.post.lock().next = Some(request);
        self.post.arrived.notify_one();
    }

    /// The newest answer that has come since the last call.
    pub fn newest(&self) -> Option<Answer> {
        self.answers.try_iter().last()
    }

    /// Whether a request waits or is worked on.
    pub fn is_busy(&self) -> bool {
        let slot = self.post.lock();
        slot.busy || slot.next.is_some()
    }
}

impl<Request, Answer> Drop for Worker<Request, Answer> {
    fn drop(&mut self) {
        self.post.lock().closed = true;
        self.post.arrived.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_request_wins() {
        let (go, gate) = channel::<()>();
        let (tell, told) = channel();
        let worker = Worker::start(
            "test",
            move |n: u32, overtaken| {
                gate.recv().ok()?;
                (!overtaken.is()).then_some(n)
            },
            move || {
                let _ = tell.send(());
            },
        )
        .unwrap();
        for n in 0..100 {
            worker.ask(n);
        }
        assert!(worker.is_busy());
        // The first may or may not have been taken before the last came; none in between is.
        go.send(()).unwrap();
        go.send(()).unwrap();
        told.recv().unwrap();
        let newest = worker.newest().or_else(|| {
            told.recv().unwrap();
            worker.newest()
        });
        assert_eq!(newest, Some(99));
    }
}
