//! Sees to it that a stream is still that of its own device.
//!
//! Where a device goes, PulseAudio moves its streams to another one without a word: a capture
//! would go on from the wrong input, and a test tone from the wrong output.

use super::devices::id_of;
use super::ring::{Over, Signs};
use cpal::HostId;
use cpal::traits::{DeviceTrait, HostTrait};
use std::sync::{Arc, Weak};
use std::time::Duration;

/// How often it is looked after.
const LOOK: Duration = Duration::from_millis(600);

/// Looks after the device for as long as somebody holds the signs of its stream.
pub(super) fn watch(signs: &Arc<Signs>, device: &cpal::Device, name: &str) {
    // Other systems end the stream.
    if device.id().map(|id| id.host()) != Ok(HostId::PulseAudio) {
        return;
    }
    let (signs, id, name) = (Arc::downgrade(signs), id_of(device), name.to_owned());
    let named = std::thread::Builder::new().name("sound".into());
    // Without it the stream runs all the same.
    let _ = named.spawn(move || look_after(&signs, &id, &name));
}

fn look_after(signs: &Weak<Signs>, id: &str, name: &str) {
    let mut host = None;
    loop {
        std::thread::sleep(LOOK);
        if signs.strong_count() == 0 {
            return;
        }
        // A server that does not answer holds this thread up, and nothing else.
        let connect = || cpal::host_from_id(HostId::PulseAudio);
        let Some(connected) = host.take().or_else(|| connect().ok()) else {
            continue;
        };
        // Its connection may be broken: the next look is through another.
        let Ok(mut devices) = connected.devices() else {
            continue;
        };
        host = Some(connected);
        if devices.all(|device| id_of(&device) != id) {
            if let Some(signs) = signs.upgrade() {
                let why = format!(
                    "{name} is gone, and the sound server would go on with another device; check \
                     the plug and 'pulsewright listen --list', and begin again."
                );
                let is_broken = false;
                let _ = signs.over.set(Over { why, is_broken });
            }
            return;
        }
    }
}
