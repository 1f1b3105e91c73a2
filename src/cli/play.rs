//! `play`: a recording, or bytes as two-tone audio, to an output device.

use super::bench::{bench, with_bench};
use super::progress::Progress;
use super::{Failure, args, input, output, sound};
use crate::live::{PlayRequest, Player, Playing};
use crate::settings::Bench;
use crate::signal::Recording;
use crate::{tape, units};
use clap::{Arg, ArgAction, ArgGroup, ArgMatches, Command};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// How often playing is looked at.
const LOOK: Duration = Duration::from_millis(50);
const CAUTION: &str = "Caution: loud, steady tones. Turn the volume down before a loudspeaker or \
                       headphones; they can hurt hearing and tweeters.";

pub(super) fn command() -> Command {
    let command = Command::new("play")
        .about("Play a recording or a test tape, to drive the real circuit")
        .arg(args::file().help("Recording to play; - is standard input"))
        .arg(
            Arg::new("text")
                .long("text")
                .value_name("TEXT")
                .allow_hyphen_values(true)
                .help("Text to play as a test tape, in UTF-8"),
        )
        .group(ArgGroup::new("what").args(["file", "text"]).required(true))
        .arg(
            Arg::new("level")
                .long("level")
                .value_name("VOLTS")
                .help("Peak level, like 500mV or -6dB of full scale (--source-full-scale); as recorded otherwise")
                .allow_hyphen_values(true),
        )
        .arg(
            Arg::new("loop")
                .long("loop")
                .action(ArgAction::SetTrue)
                .help("Begin again at the end, without a click, until Ctrl-C"),
        );
    with_bench(sound::with_device(command), |knob| {
        knob.stage == "tape" || knob.stage == "source"
    })
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    let bench = bench(matches)?;
    let recording = Arc::new(recording(matches, &bench)?);
    let interrupts = sound::interrupts()?;
    output::tell(CAUTION);
    let player = Player::start(PlayRequest {
        wanted: sound::wanted(matches),
        recording: Arc::clone(&recording),
        full_scale_v: bench.source.full_scale_v,
        level_v: level_v(matches, &bench)?,
        repeat: matches.get_flag("loop"),
    })?;
    let length = units::clock(player.progress().length_s);
    output::tell(&format!(
        "Playing {length} to {}. Ctrl-C ends it.",
        player.device()
    ));
    loop {
        let notes = player.notes();
        notes
            .iter()
            .for_each(|n| output::tell(&format!("note: {n}")));
        match player.state() {
            Playing::Going => {}
            Playing::Done => return Ok(()),
            Playing::Lost(why) => return Err(Failure::Failed(why)),
        }
        if interrupts.recv_timeout(LOOK).is_ok() {
            player.stop();
            return Ok(());
        }
    }
}

fn level_v(matches: &ArgMatches, bench: &Bench) -> Result<Option<f64>, Failure> {
    let Some(text) = matches.get_one::<String>("level") else {
        return Ok(None);
    };
    match units::parse_level(text, bench.source.full_scale_v) {
        Ok(level_v) if level_v > 0.0 => Ok(Some(level_v)),
        Ok(_) => Err(Failure::Usage("--level: a level is above 0 V.".into())),
        Err(e) => Err(Failure::Usage(format!("--level: {e}."))),
    }
}

fn recording(matches: &ArgMatches, bench: &Bench) -> Result<Recording, Failure> {
    if let Some(text) = matches.get_one::<String>("text") {
        return Ok(tape::record(text.as_bytes(), &bench.tape));
    }
    let file = matches.get_one::<PathBuf>("file");
    let file = file.map_or(Path::new("-"), PathBuf::as_path);
    let mut progress = Progress::begin();
    let opened = input::origin(file)?.open(&bench.source, &mut |now| {
        if let Some(part) = now.part {
            progress.show("opening", part);
        }
        ControlFlow::Continue(())
    });
    Ok(opened?.recording)
}
