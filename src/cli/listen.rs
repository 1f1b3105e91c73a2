//! `listen`: the characters that a player gives, as they come.

use super::bench::{bench, with_bench};
use super::listen_text::{Status, Text, summary};
use super::outputs::{self, Outputs};
use super::{Failure, args, input, output, sound, time};
use crate::live::{Capture, End, Event, Report, Request, default_name};
use crate::settings::Knob;
use crate::source::report_path;
use crate::units::Unit;
use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use std::path::PathBuf;
use std::sync::mpsc::Receiver;
use std::time::Duration;

/// How often the line of status changes.
const LOOK: Duration = Duration::from_millis(100);

pub(super) fn command() -> Command {
    let command = Command::new("listen")
        .about("Read a player as it plays: print characters as they come, keep the sound")
        .arg(
            Arg::new("list")
                .long("list")
                .action(ArgAction::SetTrue)
                .help("Name the sound systems and devices, and end"),
        )
        .arg(
            Arg::new("rate")
                .long("rate")
                .value_name("HERTZ")
                .value_parser(args::whole(Unit::Hertz, 8000..=384_000))
                .help("Samples a second, like 44.1k; what the device does by itself otherwise"),
        )
        .arg(
            Arg::new("seconds")
                .long("seconds")
                .value_name("TIME")
                .value_parser(time::parse)
                .help("End after so much sound; Ctrl-C ends it at any time"),
        )
        .arg(
            Arg::new("out")
                .long("out")
                .short('o')
                .value_name("OUT")
                .value_parser(value_parser!(PathBuf))
                .value_hint(clap::ValueHint::FilePath)
                .help("WAV file to keep the sound in, all channels; capture-DATE-TIME.wav otherwise"),
        )
        .arg(
            args::named("bytes", "OUT", "Write the bytes of all characters to a file at the end, those with faults too; - is standard output, as they come, in place of the text"),
        )
        .arg(outputs::replace())
        .after_help(
            "Text: a middle dot stands for what is not printable, a replacement character for what has a fault.\n\
             The sound is on the disk while it comes: what was kept survives whatever happens to the program.\n\
             Beside it lies NAME.capture.json with the places at which samples are missing.",
        );
    with_bench(sound::with_device(command), Knob::shapes_a_reading)
}

pub(super) fn run(matches: &ArgMatches) -> Result<(), Failure> {
    if matches.get_flag("list") {
        return output::print(&sound::list());
    }
    let out = matches.get_one::<PathBuf>("out").cloned();
    let out = out.unwrap_or_else(|| PathBuf::from(default_name()));
    if input::is_standard(&out) {
        return Err(Failure::Usage(
            "The sound is kept in a file; name one with --out.".into(),
        ));
    }
    let mut outputs = Outputs::of(matches)?;
    outputs.writes("out", &out)?;
    outputs.writes("out", &report_path(&out))?;
    outputs.writes_given("bytes")?;
    let mut request = Request::new(bench(matches)?, out);
    request.replace = outputs.may_replace();
    request.wanted = sound::wanted(matches);
    request.wanted.rate_hz = matches.get_one("rate").copied();
    request.length_s = matches.get_one("seconds").copied();
    // Nobody looks back here.
    request.memory_s = 1.0;
    let interrupts = sound::interrupts()?;
    let bytes = matches.get_one::<PathBuf>("bytes");
    let raw = bytes.is_some_and(|out| input::is_standard(out));

    let capture = Capture::start(request, || {})?;
    output::tell(&started(&capture));
    let mut text = Text::new(raw);
    let report = hear(&capture, &mut text, &interrupts);
    output::tell_all(&summary(&report, &capture.status(), text.faults()));
    let mut failures: Vec<_> = report
        .end
        .as_ref()
        .and_then(End::failure)
        .into_iter()
        .collect();
    let unprinted = text.failure();
    failures.extend(unprinted.as_deref());
    // Whatever comes of the bytes, the rest has been said by now.
    let saved = bytes
        .filter(|_| !raw)
        .map_or(Ok(()), |out| outputs.save(&[(out, text.bytes())]));
    let unsaved = saved.err().map(|why| unsaved(&why, &report));
    failures.extend(unsaved.as_deref());
    match failures.is_empty() {
        true => Ok(()),
        false => Err(Failure::Failed(failures.join(" "))),
    }
}

/// Shows what happens until the capture ends.
fn hear(capture: &Capture, text: &mut Text, interrupts: &Receiver<()>) -> Box<Report> {
    let mut status = Status::new();
    let mut stopping = false;
    loop {
        for event in capture.wait(LOOK) {
            let said = match &event {
                Event::Ended(report) => {
                    status.wipe();
                    text.end_line();
                    return report.clone();
                }
                Event::Characters(characters) => {
                    status.wipe();
                    text.print(characters);
                    text.take_note().map(|note| format!("note: {note}"))
                }
                event => line(event),
            };
            if let Some(said) = said {
                status.wipe();
                text.end_line();
                output::tell(&said);
            }
        }
        if !stopping && interrupts.try_recv().is_ok() {
            stopping = true;
            capture.request_stop();
        }
        if text.is_at_margin() {
            status.show(&capture.status());
        }
    }
}

/// That the bytes could not be written, and where they are.
fn unsaved(why: &Failure, report: &Report) -> String {
    let kept = report.files.first().filter(|_| report.captured_s > 0.0);
    let again = kept.map(|file| {
        format!(
            " 'pulsewright read' gives them again from {}.",
            file.display()
        )
    });
    format!("{why}{}", again.unwrap_or_default())
}

fn started(capture: &Capture) -> String {
    let status = capture.status();
    let format = status.format;
    format!(
        "Listening to {}: {} at {} Hz, {}, kept in {}. Ctrl-C ends it.",
        status.device,
        crate::units::counted(usize::from(format.channels), "channel"),
        format.rate_hz,
        format.sample.name(),
        status.file.display()
    )
}

/// What to say about an event.
fn line(event: &Event) -> Option<String> {
    let clock = |s: &f64| crate::units::clock(*s);
    Some(match event {
        Event::Gap(gap) => format!("gap: {gap}"),
        Event::Stalled(at_s) => format!(
            "stalled: nothing has come for half a second, at {}; waiting",
            clock(at_s)
        ),
        Event::Resumed(at_s) => format!("resumed: samples come again, at {}", clock(at_s)),
        Event::NextFile(path) => format!("file: full, going on in {}", path.display()),
        Event::Note(note) => format!("note: {note}"),
        Event::Characters(_) | Event::Settled | Event::Ended(_) => return None,
    })
}
