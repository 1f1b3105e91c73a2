//! The sound systems of the computer and their devices.
//!
//! Naming them can hang, and so each host is asked on a thread of its own with a deadline.

use super::mute::Mute;
use super::patience;
use cpal::traits::{DeviceTrait, HostTrait};
use cpal::{ErrorKind, HostId};

/// A sound system, like ALSA or PulseAudio.
#[derive(Clone, Debug)]
pub struct Host {
    /// What it is called.
    pub name: &'static str,
    /// Whether it is used where no other is asked for.
    pub is_default: bool,
    /// Its devices, or a sentence why it names none.
    pub devices: Result<Vec<Device>, String>,
}

/// A device of a host.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    /// What the host knows it by.
    pub id: String,
    /// What people know it by.
    pub name: String,
    /// As an input.
    pub input: Option<Side>,
    /// As an output.
    pub output: Option<Side>,
}

/// One side of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Side {
    /// Whether it is used where no other is asked for.
    pub is_default: bool,
    /// The rate that it runs at by itself.
    pub rate_hz: u32,
    /// Its channels.
    pub channels: u16,
}

/// Which way samples go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Direction {
    In,
    Out,
}

/// Which device is wanted, by words of a person; what is not given is the default's.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Name of the host.
    pub host: Option<String>,
    /// Name or id of the device, or a part that only one has.
    pub device: Option<String>,
    /// Frames a second.
    pub rate_hz: Option<u32>,
}

impl Wanted {
    /// Keeps the libraries quiet that opening it loads. PulseAudio's client is quiet by itself.
    pub(super) fn mute(&self) -> Option<Mute> {
        let host = self.host.as_deref().unwrap_or_default();
        let is_pulse = host.eq_ignore_ascii_case(HostId::PulseAudio.name());
        (!is_pulse).then(Mute::begin)
    }
}

/// All hosts with their devices. Takes some seconds where a sound server hangs.
pub fn hosts() -> Vec<Host> {
    let _mute = Mute::begin();
    let asked: Vec<_> = cpal::ALL_HOSTS
        .iter()
        .map(|&id| {
            let ask = move || patience::within(patience::LIST, "naming devices", move || list(id));
            (id, std::thread::spawn(ask))
        })
        .collect();
    let default = patience::within(patience::LIST, "finding the default", || {
        cpal::default_host().id()
    });
    let answers = asked.into_iter().map(|(id, asked)| Host {
        name: id.name(),
        is_default: default.as_ref() == Ok(&id),
        devices: asked.join().map_or_else(
            |_| Err("The sound system failed while naming devices.".into()),
            |listed| listed.and_then(|devices| devices),
        ),
    });
    answers.collect()
}

fn list(id: HostId) -> Result<Vec<Device>, String> {
    let host = cpal::host_from_id(id).map_err(|e| sentence(&e, id.name()))?;
    let default_input = host.default_input_device().and_then(|d| d.id().ok());
    let default_output = host.default_output_device().and_then(|d| d.id().ok());
    let devices = host.devices().map_err(|e| sentence(&e, id.name()))?;
    let described = devices.filter_map(|device| {
        let id = device.id().ok();
        let side = |config: Result<cpal::SupportedStreamConfig, _>, default: &Option<_>| {
            config.ok().map(|config| Side {
                is_default: id.is_some() && id == *default,
                rate_hz: config.sample_rate(),
                channels: config.channels(),
            })
        };
        let input = side(device.default_input_config(), &default_input);
        let output = side(device.default_output_config(), &default_output);
        (input.is_some() || output.is_some()).then(|| Device {
            id: id_of(&device),
            name: name_of(&device),
            input,
            output,
        })
    });
    Ok(described.collect())
}

pub(super) fn id_of(device: &cpal::Device) -> String {
    device
        .id()
        .map_or_else(|_| String::new(), |id| id.id().to_owned())
}

pub(super) fn name_of(device: &cpal::Device) -> String {
    let described = device.description();
    described.map_or_else(|_| id_of(device), |d| d.name().to_owned())
}

/// Opens the host and finds the device on it. May hang.
pub(super) fn find(wanted: &Wanted, direction: Direction) -> Result<cpal::Device, String> {
    let host = host(wanted.host.as_deref())?;
    let way = match direction {
        Direction::In => "input",
        Direction::Out => "output",
    };
    let Some(name) = &wanted.device else {
        let default = match direction {
            Direction::In => host.default_input_device(),
            Direction::Out => host.default_output_device(),
        };
        return default.ok_or_else(|| {
            format!(
                "{} has no default {way} device; connect one, or name one that 'pulsewright listen \
                 --list' shows.",
                host.id().name()
            )
        });
    };
    let devices = match direction {
        Direction::In => host.input_devices(),
        Direction::Out => host.output_devices(),
    };
    let devices: Vec<_> = devices
        .map_err(|e| sentence(&e, host.id().name()))?
        .collect();
    let names: Vec<_> = devices.iter().map(|d| (id_of(d), name_of(d))).collect();
    let at = choose(&names, name).map_err(|found| {
        let (host, names) = (host.id().name(), found.join(", "));
        match found.len() {
            0 => format!(
                "{host} has no {way} device '{name}'; 'pulsewright listen --list' names those there are."
            ),
            _ => format!("'{name}' fits several {way} devices of {host}: {names}; give one of these."),
        }
    })?;
    devices.into_iter().nth(at).ok_or_else(String::new)
}

/// The one that has this id or name, or else the one of which it is a part; all that it is a part
/// of where they are none or several.
fn choose(names: &[(String, String)], wanted: &str) -> Result<usize, Vec<String>> {
    let wanted = wanted.to_lowercase();
    let is = |i: &usize, fits: fn(&str, &str) -> bool| {
        let (id, name) = &names[*i];
        fits(&id.to_lowercase(), &wanted) || fits(&name.to_lowercase(), &wanted)
    };
    let exact = (0..names.len()).find(|i| is(i, |a, b| a == b));
    if let Some(at) = exact {
        return Ok(at);
    }
    let part: Vec<_> = (0..names.len())
        .filter(|i| is(i, |a, b| a.contains(b)))
        .collect();
    match part[..] {
        [at] => Ok(at),
        _ => Err(part.iter().map(|&i| names[i].0.clone()).collect()),
    }
}

fn host(name: Option<&str>) -> Result<cpal::Host, String> {
    let Some(name) = name else {
        return Ok(cpal::default_host());
    };
    let named = cpal::ALL_HOSTS
        .iter()
        .find(|id| id.name().eq_ignore_ascii_case(name));
    let Some(&id) = named else {
        let names: Vec<_> = cpal::ALL_HOSTS.iter().map(HostId::name).collect();
        return Err(format!(
            "There is no host '{name}' here; there is {}.",
            names.join(" and ")
        ));
    };
    // A new one each time: one whose server has gone does not come back.
    cpal::host_from_id(id).map_err(|e| sentence(&e, id.name()))
}

/// What went wrong with `what`, and what to do.
pub(super) fn sentence(error: &cpal::Error, what: &str) -> String {
    let advice = match error.kind() {
        ErrorKind::HostUnavailable => "start the sound server, or choose another host",
        ErrorKind::DeviceNotAvailable | ErrorKind::StreamInvalidated => {
            "check the plug and 'pulsewright listen --list', and begin again"
        }
        ErrorKind::DeviceBusy => "another program may be using it: close that, and try again",
        ErrorKind::PermissionDenied => "allow this user to use sound devices",
        ErrorKind::UnsupportedConfig | ErrorKind::UnsupportedOperation => {
            "choose another rate or device"
        }
        _ => "try again, or choose another device",
    };
    let reason = error.to_string();
    let reason = reason.trim_end_matches('.');
    format!("{what}: {reason}; {advice}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_is_found_by_id_name_or_part() {
        let pair = |id: &str, name: &str| (id.to_owned(), name.to_owned());
        let names = [
            pair("hw:0", "Line in"),
            pair("hw:1", "USB Line in"),
            pair("deck", "Cassette deck"),
        ];
        assert_eq!(choose(&names, "DECK"), Ok(2));
        assert_eq!(choose(&names, "line in"), Ok(0));
        assert_eq!(choose(&names, "usb"), Ok(1));
        assert_eq!(
            choose(&names, "line"),
            Err(vec!["hw:0".into(), "hw:1".into()])
        );
        assert_eq!(choose(&names, "reel"), Err(vec![]));
    }

    #[test]
    fn an_unknown_host_is_a_sentence() {
        let err = host(Some("gramophone")).err().unwrap();
        assert!(err.contains("no host 'gramophone' here; there is"), "{err}");
    }
}
