//! A window on a desk of its own: no display, a folder for what it keeps, hands that find
//! controls by their labels.

use egui::accesskit::Role;
use egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2,
    ViewportCommand, ViewportEvent, ViewportId,
};
use egui_kittest::kittest::Queryable;
use egui_kittest::{Harness, HarnessBuilder, Node};
use pulsewright::picture::Lane;
use pulsewright::store::Store;
use pulsewright::view::{App, Request};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long the window's threads are waited for, at the most.
const PATIENCE: Duration = Duration::from_secs(90);
const PAUSE: Duration = Duration::from_millis(5);

/// A window and the folder in which it keeps things.
pub struct Desk {
    pub folder: TempDir,
    pub window: Harness<'static, App>,
}

/// The bundled recording.
pub fn tide_log() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-audio/saltmere-300.wav")
}

/// A folder in which no session has kept anything yet.
pub fn folder() -> TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

impl Desk {
    /// A window with nothing open.
    pub fn empty() -> Self {
        Self::with(folder(), None, size(1440.0, 900.0))
    }

    /// A window with the bundled recording, read to its end.
    pub fn opened() -> Self {
        Self::with(folder(), Some(tide_log()), size(1440.0, 900.0))
    }

    /// A window on what `folder` remembers, drawn as `builder` says, when it has come to rest.
    pub fn with(folder: TempDir, file: Option<PathBuf>, builder: HarnessBuilder<App>) -> Self {
        let request = Request { file, bench: None };
        Self::asked(folder, request, builder)
    }

    /// A window that is opened with this request.
    pub fn asked(folder: TempDir, request: Request, builder: HarnessBuilder<App>) -> Self {
        let store = Store::at(folder.path().join("store"));
        let opens = request.file.is_some();
        let window = builder.build_eframe(move |context| {
            let app = App::new(&context.egui_ctx, request, store);
            app.expect("the system gives threads").without_dialogs()
        });
        let mut desk = Self { folder, window };
        desk.settle();
        if opens {
            desk.wait("the recording is read", |app| {
                !app.whole().characters.is_empty()
            });
            desk.settle();
        }
        desk
    }

    /// The window's state.
    pub fn app(&self) -> &App {
        self.window.state()
    }

    /// Runs frames until the window holds what is waited for.
    pub fn wait(&mut self, what: &str, holds: impl Fn(&App) -> bool) {
        self.wait_for(what, |desk| holds(desk.app()));
    }

    /// Runs frames until the desk holds what is waited for.
    pub fn wait_for(&mut self, what: &str, holds: impl Fn(&Self) -> bool) {
        let begun = Instant::now();
        loop {
            self.window.step();
            if holds(self) {
                return;
            }
            assert!(begun.elapsed() < PATIENCE, "it never comes that {what}");
            std::thread::sleep(PAUSE);
        }
    }

    /// Runs frames until all threads have answered and what they brought is drawn.
    pub fn settle(&mut self) {
        // An answer that no frame has taken yet may give the threads more to do.
        for _ in 0..3 {
            self.wait("the threads come to rest", App::is_at_rest);
        }
        self.window.step();
    }

    /// Presses a key.
    pub fn press(&mut self, key: Key) {
        self.press_with(Modifiers::NONE, key);
    }

    /// Presses a key with others held.
    pub fn press_with(&mut self, modifiers: Modifiers, key: Key) {
        self.window.key_press_modifiers(modifiers, key);
        self.settle();
    }

    /// The control with this label.
    pub fn control<'a>(&'a self, label: &'a str) -> Node<'a> {
        self.window.get_by_label(label)
    }

    /// Clicks on the control with this label.
    pub fn click(&mut self, label: &str) {
        self.control(label).click();
        self.settle();
    }

    /// Clicks at a place with keys held.
    pub fn click_at(&mut self, pos: Pos2, modifiers: Modifiers) {
        self.window.hover_at(pos);
        self.window.event(Event::ModifiersChanged(modifiers));
        for pressed in [true, false] {
            self.window.event(Event::PointerButton {
                pos,
                button: PointerButton::Primary,
                pressed,
                modifiers,
            });
        }
        self.window.event(Event::ModifiersChanged(Modifiers::NONE));
        self.settle();
    }

    /// Drags from one place to another in steps, with keys held.
    pub fn drag(&mut self, from: Pos2, to: Pos2, modifiers: Modifiers) {
        self.window.event(Event::ModifiersChanged(modifiers));
        self.window.drag_at(from);
        for step in 1..=5 {
            let part = step as f32 / 5.0;
            self.window.hover_at(from + (to - from) * part);
        }
        self.window.drop_at(to);
        self.window.event(Event::ModifiersChanged(Modifiers::NONE));
        self.settle();
    }

    /// Turns the wheel where the pointer is.
    pub fn wheel(&mut self, delta: Vec2, modifiers: Modifiers) {
        self.window.event(Event::ModifiersChanged(modifiers));
        self.window.event(Event::MouseWheel {
            unit: MouseWheelUnit::Point,
            source: MouseWheelSource::Wheel,
            delta,
            phase: TouchPhase::Move,
            modifiers,
        });
        self.window.event(Event::ModifiersChanged(Modifiers::NONE));
        // The wheel's step is spread over a tenth of a second.
        self.window.run_steps(20);
        self.settle();
    }

    /// Where an instant stands in a lane that is shown.
    pub fn place(&self, lane: Lane, time_s: f64) -> Pos2 {
        let lanes = self.control("Lanes").rect();
        let span = self.app().span();
        let sheet = self.app().lanes().sheet(span, lanes.size().into(), 1.0);
        let (_, area) = sheet
            .areas()
            .find(|(l, _)| *l == lane)
            .expect("the lane is shown");
        let x = span.x_of(time_s, area.x, area.w);
        lanes.min + Vec2::new(x, area.y + area.h / 2.0)
    }

    /// Whether some label on the screen holds this text.
    pub fn says(&self, text: &str) -> bool {
        self.window
            .query_all_by_label_contains(text)
            .next()
            .is_some()
    }

    /// Types a path into the window that asks for one and says yes.
    pub fn type_path(&mut self, path: &Path) {
        let field = self.window.get_by_role_and_label(Role::TextInput, "Path");
        field.focus();
        self.press_with(ctrl(Modifiers::NONE), Key::A);
        let text = path.to_str().expect("a path in UTF-8").into();
        self.window.event(Event::Text(text));
        self.settle();
        self.press(Key::Enter);
    }

    /// Asks the window to close, as the title bar's cross does; gives whether it lets that
    /// happen.
    pub fn close(&mut self) -> bool {
        let viewports = &mut self.window.input_mut().viewports;
        let viewport = viewports.get_mut(&ViewportId::ROOT);
        viewport.unwrap().events.push(ViewportEvent::Close);
        self.window.step();
        !self.sent(&ViewportCommand::CancelClose)
    }

    /// Whether the last frame sent this command.
    pub fn sent(&self, command: &ViewportCommand) -> bool {
        let output = &self.window.output().viewport_output[&ViewportId::ROOT];
        output.commands.contains(command)
    }

    /// Opens a menu and chooses one of its entries.
    pub fn choose(&mut self, menu: &str, entry: &str) {
        self.click(menu);
        self.click(entry);
    }
}

/// A window of this size in points, as the pictures need it.
pub fn size(width: f32, height: f32) -> HarnessBuilder<App> {
    Harness::builder()
        .with_size([width, height])
        // Two clicks in six frames are a double click.
        .with_step_dt(0.02)
        .with_theme(egui::Theme::Light)
}

/// The control key with others.
pub fn ctrl(others: Modifiers) -> Modifiers {
    Modifiers::CTRL | Modifiers::COMMAND | others
}
