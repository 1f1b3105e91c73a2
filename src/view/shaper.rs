//! The peaks behind the input network over a whole recording, for views too long to run the
//! network for every picture.

use crate::picture::{PeakSum, Peaks};
use crate::settings::InputSettings;
use crate::signal::{InputNetwork, Recording};
use crate::worker::{Outbox, Worker};
use std::sync::Arc;

struct Request {
    recording: Arc<Recording>,
    input: InputSettings,
}

/// Works the peaks out; the newest settings win.
pub struct Shaper {
    worker: Worker<Request, Arc<Peaks>>,
    asked: Option<(Arc<Recording>, InputSettings)>,
    peaks: Arc<Peaks>,
}

impl Shaper {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system gives none.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Self> {
        Ok(Self {
            worker: Worker::start("shape", |r: Request, outbox| shape(&r, outbox), wake)?,
            asked: None,
            peaks: Arc::default(),
        })
    }

    /// Whether peaks are being worked out.
    pub fn is_busy(&self) -> bool {
        self.worker.is_busy()
    }

    /// The peaks for these settings, empty while they are worked out.
    pub fn look(&mut self, recording: &Arc<Recording>, input: &InputSettings) -> Arc<Peaks> {
        let same =
            |(r, i): &(Arc<Recording>, InputSettings)| Arc::ptr_eq(r, recording) && i == input;
        if !self.asked.as_ref().is_some_and(same) {
            self.asked = Some((Arc::clone(recording), *input));
            self.peaks = Arc::default();
            // An answer to an older question may still lie there.
            self.worker.newest();
            if !InputNetwork::is_wire(input) {
                self.worker.ask(Request {
                    recording: Arc::clone(recording),
                    input: *input,
                });
            }
        }
        if let Some(peaks) = self.worker.newest() {
            self.peaks = peaks;
        }
        Arc::clone(&self.peaks)
    }
}

fn shape(request: &Request, outbox: &Outbox<'_, Arc<Peaks>>) {
    let mut network = InputNetwork::new(&request.input, request.recording.rate_hz());
    let (mut peaks, mut block) = (PeakSum::default(), Vec::new());
    let mut samples = request.recording.all();
    while let Some(piece) = samples.read() {
        if outbox.is_overtaken() {
            return;
        }
        network.run(piece, &mut block);
        peaks.add(&block);
    }
    network.finish(&mut block);
    peaks.add(&block);
    outbox.send(Arc::new(peaks.finish()));
}
