//! Which sound system and which device. They are named on a thread: a hung server must not hang
//! the window.

use crate::live::{Device, Host, Side, Wanted, hosts};
use crate::units::{self, Unit};
use crate::worker::{Outbox, Worker};
use egui::{Button, ComboBox, Grid, Ui};

/// Sample rates that are offered.
const RATES_HZ: [u32; 5] = [22_050, 44_100, 48_000, 96_000, 192_000];

/// The device of ALSA that gives silence and takes anything: it is there where no card is.
const NOTHING: &str = "null";

/// The choice of a host and a device.
pub struct DeviceChoice {
    finder: Worker<(), Vec<Host>>,
    hosts: Vec<Host>,
    asked: bool,
    /// Whether the devices have been named once.
    named: bool,
    is_input: bool,
    /// What is chosen.
    pub wanted: Wanted,
}

impl DeviceChoice {
    /// A choice among inputs or outputs.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub fn start(
        is_input: bool,
        wanted: Wanted,
        wake: impl Fn() + Send + 'static,
    ) -> std::io::Result<Self> {
        let work = |(): (), outbox: &Outbox<'_, Vec<Host>>| outbox.send(hosts());
        Ok(Self {
            finder: Worker::start("devices", work, wake)?,
            hosts: Vec::new(),
            asked: false,
            named: false,
            is_input,
            wanted,
        })
    }

    /// Whether the devices are being named.
    pub fn is_busy(&self) -> bool {
        self.finder.is_busy()
    }

    /// Draws the choice.
    pub fn show(&mut self, ui: &mut Ui) {
        if !std::mem::replace(&mut self.asked, true) {
            self.finder.ask(());
        }
        if let Some(hosts) = self.finder.newest() {
            self.hosts = hosts;
            self.named = true;
        }
        let id = ("devices", self.is_input);
        Grid::new(id).num_columns(2).show(ui, |ui| {
            self.host_ui(ui);
            ui.end_row();
            self.device_ui(ui);
            ui.end_row();
            if self.is_input {
                self.rate_ui(ui);
                ui.end_row();
            }
        });
        if let Some(id) = &self.wanted.device
            && !self.hosts.is_empty()
            && !self.finder.is_busy()
            && !self.devices().any(|d| d.id == *id || d.name == *id)
        {
            ui.label("The device chosen last is not there now. Plug it in and look again, or choose another.");
        }
        for host in self.chosen_hosts() {
            if let Err(why) = &host.devices {
                ui.label(why);
            }
        }
        if let Some(said) = self.none_found() {
            ui.label(said);
        }
    }

    /// What to say where the devices have been named and none of them fits.
    fn none_found(&self) -> Option<String> {
        let failed = self.chosen_hosts().any(|h| h.devices.is_err());
        let found = self.devices().any(|d| d.id != NOTHING);
        if !self.named || self.finder.is_busy() || failed || found {
            return None;
        }
        let what = if self.is_input { "input" } else { "output" };
        Some(format!(
            "No {what} was found. Connect one and look again, or choose another sound system."
        ))
    }

    fn host_ui(&mut self, ui: &mut Ui) {
        let label = ui.label("Sound system");
        let default = self.hosts.iter().find(|h| h.is_default).map(|h| h.name);
        let usual = usual(default);
        ui.horizontal(|ui| {
            let chosen = self.wanted.host.clone();
            let combo = ComboBox::from_id_salt(("host", self.is_input))
                .width(200.0)
                .selected_text(chosen.unwrap_or_else(|| usual.clone()));
            let combo = combo.show_ui(ui, |ui| {
                ui.selectable_value(&mut self.wanted.host, None, usual);
                for host in &self.hosts {
                    let name = Some(host.name.to_string());
                    ui.selectable_value(&mut self.wanted.host, name, host.name);
                }
            });
            combo.response.labelled_by(label.id);
            let busy = self.finder.is_busy();
            let again = ui.add_enabled(!busy, Button::new("Look again"));
            if again.on_hover_text("Name the devices again.").clicked() {
                self.finder.ask(());
            }
            if busy {
                ui.spinner();
            }
        });
    }

    fn device_ui(&mut self, ui: &mut Ui) {
        let label = ui.label("Device");
        let default = self.devices().find(|d| self.is_default(d));
        let usual = usual(default.map(|d| d.name.as_str()));
        let chosen = self.wanted.device.clone();
        let shown = chosen.as_ref().map_or(usual.clone(), |id| self.name_of(id));
        let devices: Vec<(String, String)> = self
            .devices()
            .map(|d| (d.id.clone(), d.name.clone()))
            .collect();
        let combo = ComboBox::from_id_salt(("device", self.is_input))
            .width(350.0)
            .truncate()
            .selected_text(shown);
        let combo = combo.show_ui(ui, |ui| {
            ui.selectable_value(&mut self.wanted.device, None, usual);
            for (id, name) in devices {
                ui.selectable_value(&mut self.wanted.device, Some(id), name);
            }
        });
        combo.response.labelled_by(label.id);
    }

    /// The rate of an input; an output takes that of the tape.
    fn rate_ui(&mut self, ui: &mut Ui) {
        let label = ui.label("Sample rate");
        let name = |rate: Option<u32>| {
            rate.map_or("the device's own".into(), |r| {
                units::show(f64::from(r), Unit::Hertz)
            })
        };
        ui.horizontal(|ui| {
            let rate = &mut self.wanted.rate_hz;
            let combo = ComboBox::from_id_salt("rate").selected_text(name(*rate));
            let combo = combo.show_ui(ui, |ui| {
                for choice in [None].into_iter().chain(RATES_HZ.map(Some)) {
                    ui.selectable_value(rate, choice, name(choice));
                }
            });
            combo.response.labelled_by(label.id);
            ui.weak("The channel is set in the source's card.");
        });
    }

    fn side(&self, device: &Device) -> Option<Side> {
        if self.is_input {
            device.input
        } else {
            device.output
        }
    }

    fn is_default(&self, device: &Device) -> bool {
        self.side(device).is_some_and(|side| side.is_default)
    }

    fn chosen_hosts(&self) -> impl Iterator<Item = &Host> {
        let wanted = self.wanted.host.as_deref();
        self.hosts
            .iter()
            .filter(move |h| wanted.map_or(h.is_default, |w| h.name == w))
    }

    fn devices(&self) -> impl Iterator<Item = &Device> {
        self.chosen_hosts()
            .filter_map(|h| h.devices.as_ref().ok())
            .flatten()
            .filter(|d| self.side(d).is_some())
    }

    fn name_of(&self, id: &str) -> String {
        let device = self.devices().find(|d| d.id == id);
        device.map_or(id, |d| &d.name).to_string()
    }
}

/// What the choice is called that leaves it to the system, which would choose this one.
fn usual(name: Option<&str>) -> String {
    match name {
        Some(name) => format!("the usual one: {name}"),
        None => "the usual one".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a choice says of these devices of the default sound system.
    fn said(devices: Result<Vec<Device>, String>, is_input: bool) -> Option<String> {
        let mut choice = DeviceChoice::start(is_input, Wanted::default(), || {}).unwrap();
        assert_eq!(choice.none_found(), None, "nothing has been looked for yet");
        choice.hosts = vec![Host {
            name: "ALSA",
            is_default: true,
            devices,
        }];
        choice.named = true;
        choice.none_found()
    }

    fn device(id: &str, [input, output]: [bool; 2]) -> Device {
        let side = Side {
            is_default: true,
            rate_hz: 48_000,
            channels: 2,
        };
        Device {
            id: id.into(),
            name: id.into(),
            input: input.then_some(side),
            output: output.then_some(side),
        }
    }

    #[test]
    fn without_a_sound_card_it_says_that_none_was_found() {
        let input = said(Ok(Vec::new()), true).unwrap();
        assert!(input.contains("No input was found"), "{input}");
        let silence = said(Ok(vec![device("null", [true, true])]), true);
        assert!(silence.is_some());
        let loudspeaker = device("speaker", [false, true]);
        assert!(said(Ok(vec![loudspeaker.clone()]), true).is_some());
        assert_eq!(said(Ok(vec![loudspeaker]), false), None);
        assert_eq!(said(Ok(vec![device("deck", [true, false])]), true), None);
        // Why nothing could be named is said already.
        assert_eq!(said(Err("It is not running.".into()), true), None);
    }
}
