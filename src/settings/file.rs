//! The bench file: a saved set of all settings, in TOML, with values as people write them.

use super::{Bench, KNOBS, STAGES, knobs_of};
use std::fmt;

/// Why a text is not a bench. Its `Display` is one or more whole sentences.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BenchError(String);

impl fmt::Display for BenchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BenchError {}

/// Writes every setting of `bench`, stage by stage in signal order.
pub fn write_bench(bench: &Bench) -> String {
    let mut text = String::from("# A Pulsewright bench: the settings of every stage.\n");
    for (stage, title) in STAGES {
        text.push_str(&format!("\n# {title}\n[{stage}]\n"));
        for knob in knobs_of(stage) {
            text.push_str(&format!("{} = \"{}\"\n", knob.name, knob.show_in(bench)));
        }
    }
    text
}

/// Reads a bench. What the text does not set keeps its default.
///
/// # Errors
/// As [`read_bench_over`].
pub fn read_bench(text: &str) -> Result<Bench, BenchError> {
    read_bench_over(Bench::default(), text)
}

/// Reads a bench. What the text does not set keeps its value in `bench`.
///
/// # Errors
/// A sentence that names the first stage, knob or value that does not fit, or the line that is
/// not understood.
pub fn read_bench_over(mut bench: Bench, text: &str) -> Result<Bench, BenchError> {
    let table = read_toml(text).map_err(BenchError)?;
    for (stage, knobs) in &table {
        if !STAGES.iter().any(|s| s.0 == stage) {
            let known: Vec<_> = STAGES.iter().map(|s| s.0).collect();
            return Err(BenchError(format!(
                "There is no stage '{stage}'; the stages are {}.",
                known.join(", ")
            )));
        }
        let knobs = knobs
            .as_table()
            .ok_or_else(|| BenchError(format!("'{stage}' must be a section: [{stage}].")))?;
        for (name, value) in knobs {
            let knob = KNOBS
                .iter()
                .find(|k| k.stage == stage && k.name == name)
                .ok_or_else(|| {
                    let known: Vec<_> = knobs_of(stage).map(|k| k.name).collect();
                    BenchError(format!(
                        "There is no knob '{name}' in [{stage}]; it has {}.",
                        known.join(", ")
                    ))
                })?;
            let text = match value {
                toml::Value::String(s) => s.clone(),
                toml::Value::Integer(n) => n.to_string(),
                toml::Value::Float(x) => x.to_string(),
                _ => {
                    return Err(BenchError(format!(
                        "{}: it takes {}.",
                        knob.id(),
                        knob.takes()
                    )));
                }
            };
            knob.set_text(&mut bench, &text)
                .map_err(|e| BenchError(e.to_string()))?;
        }
    }
    Ok(bench)
}

/// Reads a text as TOML.
///
/// # Errors
/// A sentence that names the first line that is none.
pub(crate) fn read_toml(text: &str) -> Result<toml::Table, String> {
    text.parse().map_err(|e: toml::de::Error| {
        let line = e.span().map_or(1, |span| {
            1 + text[..span.start.min(text.len())].matches('\n').count()
        });
        format!("Line {line} is neither a [section] nor a line like name = \"value\".")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let mut bench = Bench::default();
        bench.short.width_s = 635.6e-6;
        bench.source.channel = super::super::Channel::Difference;
        bench.input.high_pass_hz = 15.9;
        assert_eq!(read_bench(&write_bench(&bench)), Ok(bench));
    }

    #[test]
    fn a_partial_bench_keeps_defaults_and_takes_bare_numbers() {
        let bench = read_bench("[framer]\nrate = 1200\n[long]\nwidth = 0.0009\n").unwrap();
        assert_eq!((bench.framer.rate_bd, bench.long.width_s), (1200.0, 0.0009));
        assert_eq!(bench.short, Bench::default().short);
    }

    #[test]
    fn what_does_not_fit_is_named() {
        for (text, says) in [
            ("[short]\nwidth = \"wide\"", "short-width"),
            ("[short]\nwide = 1", "it has width, trigger"),
            ("[shorty]\nwidth = 1", "no stage 'shorty'"),
            ("short = 1", "[short]"),
            ("[short]\nwidth = true", "short-width"),
            ("[short]\n\nwidth = = 1", "Line 3"),
        ] {
            let err = read_bench(text).unwrap_err().to_string();
            assert!(err.contains(says), "{err}");
        }
    }
}
