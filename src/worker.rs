//! A named thread that works on the newest request.
//!
//! A request that arrives while another is worked on replaces any that still waits; the work
//! itself can ask whether it has been overtaken and stop early.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// A thread that turns requests into answers, the newest first and only.
pub struct Worker<Request, Answer> {
    post: Arc<Post<Request>>,
    answers: Receiver<Answer>,
}

/// Where the work puts its answers, and sees whether it has been overtaken.
pub struct Outbox<'a, Answer> {
    overtaken: &'a dyn Fn() -> bool,
    send: &'a dyn Fn(Answer),
}

impl<Answer> Outbox<'_, Answer> {
    /// Whether a newer request waits, so that no answer would be looked at.
    pub fn is_overtaken(&self) -> bool {
        (self.overtaken)()
    }

    /// Gives an answer, the only one or one of several, each better than the last.
    pub fn send(&self, answer: Answer) {
        (self.send)(answer);
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
    /// Starts a thread of the given name. `work` answers a request, or gives up where it has been
    /// overtaken; `wake` is called behind every answer.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(
        name: &str,
        mut work: impl FnMut(Request, &Outbox<'_, Answer>) + Send + 'static,
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
            let overtaken = || {
                let slot = inbox.lock();
                slot.next.is_some() || slot.closed
            };
            let send = |answer| {
                // Nobody listens any more once the worker is dropped.
                let _ = sender.send(answer);
                wake();
            };
            let outbox = Outbox {
                overtaken: &overtaken,
                send: &send,
            };
            while let Some(request) = inbox.take() {
                // What goes wrong with one request must not silence the thread for all others.
                let _ = catch_unwind(AssertUnwindSafe(|| work(request, &outbox)));
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
            move |n: u32, outbox| {
                if gate.recv().is_ok() && !outbox.is_overtaken() {
                    outbox.send(n);
                }
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
