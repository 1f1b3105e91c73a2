//! `tape`: bytes or a pattern to a recording, clean or worn.

use super::bench::{bench, with_bench};
use super::outputs::{self, Outputs};
use super::progress::Progress;
use super::tape_content::{content, with_content};
use super::{Failure, args, input, output};
use crate::settings::{Bench, WearSettings};
use crate::tape::Tape;
use crate::tape::wear::in_effect;
use crate::units::{self, Unit};
use crate::{export, tape};
use clap::{ArgMatches, Command};
use std::path::{Path, PathBuf};

pub(super) fn command() -> Command {
    let command = with_content(Command::new("tape"))
        .about("Record bytes or a pattern as two-tone audio, clean or worn")
        .arg(args::out(
            "OUT",
            "WAV file to write; - is standard output",
        ))
        .arg(
            args::named("truth", "JSON", "Write the true bytes with their times, and all that was applied, for 'score'; with wear OUT.json is written unless this names another file"),
        )
        .arg(outputs::replace())
        .after_help(
            "Wear comes in this order: saturation; speed, wow, flutter and unsteadiness; drop-outs,\n\
             azimuth, low-pass; white and pink noise, hum, clicks, offset, sense.",
        );
    with_bench(command, |knob| {
        !knob.shapes_a_reading() || knob.id() == "source-full-scale"
    })
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let bench = bench(matches)?;
    let out = args::path(matches, "out");
    let truth_path = truth_path(matches, out, &bench);
    let mut outputs = Outputs::of(matches)?;
    outputs.writes("out", out)?;
    if let Some(path) = &truth_path {
        outputs.writes("truth", path)?;
    }
    refuse_other_ending(out)?;
    let content = content(matches, &bench.tape)?;
    tape::check(&content, &bench.tape, &bench.wear)?;
    let tape = {
        let mut progress = Progress::begin();
        tape::make_watched(&content, &bench.tape, &bench.wear, &mut |what, part| {
            progress.show(what, part as f32);
        })
    };
    let full_scale_v = bench.source.full_scale_v;
    let wav = export::wav_as(&tape.recording, full_scale_v, bench.tape.sample_format)?;
    let truth = truth_path.map(|path| (path, export::truth(&tape)));
    let truth = truth
        .as_ref()
        .map(|(path, text)| (path.as_path(), text.as_bytes()));
    outputs.save(
        &[Some((out, &wav[..])), truth]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>(),
    )?;
    output::tell_all(&summary(&tape, &bench));
    if let Some(rounded) = tape::rounding_note(&content, &bench.tape) {
        output::tell(&format!("note: {rounded}"));
    }
    Ok(())
}

/// Where the truth goes, if anywhere.
fn truth_path(matches: &ArgMatches, out: &Path, bench: &Bench) -> Option<PathBuf> {
    if let Some(path) = matches.get_one::<PathBuf>("truth") {
        return Some(path.clone());
    }
    let is_worn = in_effect(&bench.wear) != WearSettings::default();
    (is_worn && !input::is_standard(out)).then(|| export::truth_beside(out))
}

/// What there is to say about a tape, for people.
fn summary(tape: &Tape, bench: &Bench) -> Vec<String> {
    let (recording, applied) = (&tape.recording, &tape.truth.applied);
    let decibels = |v: f64| units::show_digits(v, Unit::Decibels, 4);
    let full_scale_db = 20.0 * (bench.tape.level_v / bench.source.full_scale_v).log10();
    let mut lines = vec![format!(
        "{}, {} at {}, level {} (peak, {} of full scale)",
        units::counted(tape.truth.characters.len(), "character"),
        units::clock(recording.duration_s()),
        units::show(f64::from(recording.rate_hz()), Unit::Hertz),
        units::show_digits(bench.tape.level_v, Unit::Volts, 4),
        decibels(full_scale_db),
    )];
    let events = [
        (applied.drop_outs_s.len(), "drop-out"),
        (applied.clicks_s.len(), "click"),
    ];
    let events = events.iter().filter(|e| e.0 > 0);
    lines.extend(events.map(|(count, what)| units::counted(*count, what)));
    let format = bench.tape.sample_format;
    let clipped = export::clipped(recording, bench.source.full_scale_v, format);
    if clipped > 0 {
        lines.push(format!(
            "{} clipped at full scale",
            units::counted(clipped, "sample")
        ));
    }
    if let Some(eb_n0_db) = applied.noise.as_ref().and_then(|n| n.eb_n0_db) {
        lines.push(format!("Eb/N0 of the white noise: {}", decibels(eb_n0_db)));
    }
    lines.extend(without_effect(bench));
    lines
}

/// Says which knobs of wear were turned and do nothing.
fn without_effect(bench: &Bench) -> Option<String> {
    let effective = Bench {
        wear: in_effect(&bench.wear),
        ..*bench
    };
    let idle = bench.differences(&effective);
    let idle: Vec<_> = idle.iter().map(|knob| format!("--{}", knob.id())).collect();
    let word = match idle.len() {
        0 => return None,
        1 => "has no effect: the wear that it belongs to is off",
        _ => "have no effect: the wear that they belong to is off",
    };
    Some(format!("note: {} {word}", idle.join(", ")))
}

/// Refuses a name that says that the file holds something else than WAV.
fn refuse_other_ending(out: &Path) -> Result<(), Failure> {
    let ending = out.extension().map(|e| e.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        None | Some("wav" | "wave") => Ok(()),
        Some(_) => Err(Failure::Usage(format!(
            "'{}' does not name a WAV file, and no other is written: let it end with .wav.",
            out.display()
        ))),
    }
}
