//! What the window remembers: its size, the page, the panel, the lanes.

use super::recent::Recent;
use super::side::Side;
#[cfg(feature = "live")]
use crate::live::Wanted;
use crate::picture::{LaneChoice, Theme};
use crate::settings::read_toml;
use toml::Value;

/// The file that keeps them.
pub const FILE: &str = "window.toml";

/// What the window remembers.
#[derive(Clone, Debug, PartialEq)]
pub struct Preferences {
    /// Width and height in points.
    pub size: [f32; 2],
    /// Light or dark page.
    pub theme: Theme,
    /// What the panel beside the lanes shows, where it is open.
    pub side: Option<Side>,
    /// Width in points of that panel.
    pub side_width: f32,
    /// The recordings that were open last.
    pub(super) recent: Recent,
    /// Whether the foot says all there is to say.
    pub details: bool,
    /// The lanes.
    pub lanes: LaneChoice,
    /// Address of the first byte in records and in the listing.
    pub load_address: u32,
    /// The sound device that was listened to last.
    #[cfg(feature = "live")]
    pub input: Wanted,
    /// The one that was played on last.
    #[cfg(feature = "live")]
    pub output: Wanted,
    /// Whether the caution about loud tones has been read.
    pub cautioned: bool,
    /// The name of the bench that was open last.
    pub bench: Option<String>,
}

impl Default for Preferences {
    fn default() -> Self {
        Self {
            size: [1440.0, 900.0],
            theme: Theme::Light,
            side: Some(Side::Listing),
            side_width: 330.0,
            recent: Recent::default(),
            details: false,
            lanes: LaneChoice::default(),
            load_address: 0,
            #[cfg(feature = "live")]
            input: Wanted::default(),
            #[cfg(feature = "live")]
            output: Wanted::default(),
            cautioned: false,
            bench: None,
        }
    }
}

impl Preferences {
    /// Writes them as TOML.
    pub fn write(&self) -> String {
        let side = self.side.map_or("none", Side::title);
        let width = self.side_width;
        let mut text = format!(
            "size = [{}, {}]\ndark = {}\nside = \"{side}\"\nside-width = {width:?}\ndetails = {}\nload-address = {}\n",
            self.size[0],
            self.size[1],
            self.theme == Theme::Dark,
            self.details,
            self.load_address
        );
        if let Some(volts) = self.lanes.scale_v {
            text.push_str(&format!("source-volts = {volts:?}\n"));
        }
        text.push_str(&self.recent.write());
        text.push_str(&format!("cautioned = {}\n", self.cautioned));
        if let Some(name) = self.bench.clone().map(Value::String) {
            text.push_str(&format!("bench = {name}\n"));
        }
        #[cfg(feature = "live")]
        for (name, wanted) in [("input", &self.input), ("output", &self.output)] {
            text.push_str(&device_text(name, wanted));
        }
        text.push_str("\n[lanes]\n");
        for (lane, share, shown) in self.lanes.lanes {
            let share = if shown { share } else { -share };
            text.push_str(&format!("\"{}\" = {share:?}\n", lane.name()));
        }
        text
    }

    /// Reads them; what is missing or does not fit keeps its default.
    ///
    /// # Errors
    /// A sentence that names the first line that is no TOML.
    pub fn read(text: &str) -> Result<Self, String> {
        let mut preferences = Self::default();
        let table = read_toml(text)?;
        let number = |v: &Value| v.as_float().or_else(|| v.as_integer().map(|n| n as f64));
        if let Some([w, h]) = table
            .get("size")
            .and_then(Value::as_array)
            .map(Vec::as_slice)
        {
            let side = |v| {
                number(v)
                    .map(|n| n as f32)
                    .filter(|n| (200.0..20_000.0).contains(n))
            };
            if let (Some(w), Some(h)) = (side(w), side(h)) {
                preferences.size = [w, h];
            }
        }
        if table.get("dark").and_then(Value::as_bool) == Some(true) {
            preferences.theme = Theme::Dark;
        }
        let width = table.get("side-width").and_then(number);
        let width = width.filter(|w| (100.0..10_000.0).contains(w));
        preferences.side_width = width.map_or(preferences.side_width, |w| w as f32);
        preferences.recent = Recent::read(&table);
        preferences.details = table.get("details").and_then(Value::as_bool) == Some(true);
        if let Some(title) = table.get("side").and_then(Value::as_str) {
            preferences.side = Side::ALL.into_iter().find(|s| s.title() == title);
        }
        if let Some(address) = table.get("load-address").and_then(Value::as_integer) {
            preferences.load_address = u32::try_from(address).unwrap_or(0);
        }
        preferences.cautioned = table.get("cautioned").and_then(Value::as_bool) == Some(true);
        let bench = table.get("bench").and_then(Value::as_str);
        preferences.bench = bench.map(str::to_string);
        #[cfg(feature = "live")]
        {
            preferences.input = device(&table, "input");
            preferences.output = device(&table, "output");
        }
        let volts = table.get("source-volts").and_then(number);
        preferences.lanes.scale_v = volts.filter(|v| LaneChoice::VOLTS.contains(v));
        if let Some(lanes) = table.get("lanes").and_then(Value::as_table) {
            for (lane, share, shown) in &mut preferences.lanes.lanes {
                let kept = lanes.get(lane.name()).and_then(number);
                let kept = kept.map(|k| k as f32);
                if let Some(kept) = kept.filter(|k| LaneChoice::SHARES.contains(&k.abs())) {
                    (*share, *shown) = (kept.abs(), kept > 0.0);
                }
            }
            if preferences.lanes.lanes.iter().all(|l| !l.2) {
                preferences.lanes = LaneChoice::default();
            }
        }
        Ok(preferences)
    }
}

#[cfg(feature = "live")]
fn device_text(name: &str, wanted: &Wanted) -> String {
    let row = |what: &str, value: &Option<String>| {
        let value = value.clone().map(Value::String);
        value.map_or(String::new(), |v| format!("{name}-{what} = {v}\n"))
    };
    let rate = wanted.rate_hz.map(|r| format!("{name}-rate = {r}\n"));
    row("host", &wanted.host) + &row("device", &wanted.device) + &rate.unwrap_or_default()
}

#[cfg(feature = "live")]
fn device(table: &toml::Table, name: &str) -> Wanted {
    let word = |what: &str| {
        let value = table.get(&format!("{name}-{what}")).and_then(Value::as_str);
        value.map(str::to_string)
    };
    Wanted {
        host: word("host"),
        device: word("device"),
        rate_hz: table
            .get(&format!("{name}-rate"))
            .and_then(Value::as_integer)
            .and_then(|r| u32::try_from(r).ok()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_remembered_reads_back() {
        let mut preferences = Preferences {
            size: [1280.0, 720.0],
            theme: Theme::Dark,
            side: None,
            details: true,
            side_width: 400.5,
            load_address: 0x280,
            bench: Some("deck \"two\"".into()),
            ..Default::default()
        };
        preferences.lanes.lanes[1].2 = false;
        preferences.lanes.lanes[0].1 = 3.5;
        preferences.lanes.scale_v = Some(2.0);
        #[cfg(feature = "live")]
        {
            preferences.input.device = Some("the \"deck\"".into());
            preferences.input.rate_hz = Some(48_000);
        }
        assert_eq!(Preferences::read(&preferences.write()), Ok(preferences));
    }

    #[test]
    fn nonsense_gives_the_defaults() {
        for text in [
            "",
            "size = 7",
            "[lanes]\nSource = -1\nSquarer = \"x\"",
            "size = [1, nan]",
        ] {
            let read = Preferences::read(text).unwrap();
            assert_eq!(read.size, Preferences::default().size, "{text}");
            assert!(read.lanes.lanes.iter().any(|l| l.2));
        }
        let why = Preferences::read("dark = true\n= =").unwrap_err();
        assert!(why.starts_with("Line 2 is "), "{why}");
    }
}
