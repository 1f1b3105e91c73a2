//! What `listen` and `play` share: the choice of a device, the list of devices, Ctrl-C.

use super::Failure;
use crate::live::{self, Side, Wanted};
use clap::{Arg, ArgMatches, Command};
use std::fmt::Write;
use std::sync::mpsc::{self, Receiver};

/// Adds `--host` and `--device`.
pub(super) fn with_device(command: Command) -> Command {
    command.args([
        Arg::new("host")
            .long("host")
            .value_name("HOST")
            .help("Sound system, like alsa or pulseaudio; 'listen --list' names them"),
        Arg::new("device")
            .long("device")
            .value_name("DEVICE")
            .help("Device by name or id, or a part of these; the default one otherwise"),
    ])
}

/// The device that the arguments name.
pub(super) fn wanted(matches: &ArgMatches) -> Wanted {
    let text = |id| matches.get_one::<String>(id).cloned();
    Wanted {
        host: text("host"),
        device: text("device"),
        rate_hz: None,
    }
}

/// All hosts and devices for people.
pub(super) fn list() -> String {
    let mut text = String::new();
    for host in live::hosts() {
        let default = if host.is_default { " (default)" } else { "" };
        let _ = writeln!(text, "{}{default}", host.name);
        let devices = match host.devices {
            Ok(devices) => devices,
            Err(why) => {
                let _ = writeln!(text, "  {why}");
                continue;
            }
        };
        if devices.is_empty() {
            text.push_str("  no devices\n");
        }
        for device in devices {
            let name = match device.name == device.id {
                true => String::new(),
                false => format!("  {}", device.name),
            };
            let _ = writeln!(text, "  {}{name}", device.id);
            for (way, side) in [("input", device.input), ("output", device.output)] {
                if let Some(side) = side {
                    let _ = writeln!(text, "      {}", described(way, side));
                }
            }
        }
    }
    text
}

fn described(way: &str, side: Side) -> String {
    let default = if side.is_default { ", the default" } else { "" };
    let channels = crate::units::counted(usize::from(side.channels), "channel");
    format!("{way}: {channels}, {} Hz{default}", side.rate_hz)
}

/// Gets a message when the user wants the program to end (Ctrl-C, or the system's request).
pub(super) fn interrupts() -> Result<Receiver<()>, Failure> {
    let (tell, told) = mpsc::channel();
    let heard = ctrlc::set_handler(move || {
        let _ = tell.send(());
    });
    heard.map_err(|_| Failure::Failed("The system does not say when Ctrl-C is pressed.".into()))?;
    Ok(told)
}
