//! What is asked before a saved bench is renamed or deleted.

use egui::{Context, Id, Key, Modal, TextEdit, Ui};

/// A question about the bench of a name.
pub enum Question {
    /// Whether to delete it.
    Delete(String),
    /// What to call it.
    Rename {
        /// Its name.
        from: String,
        /// The new one, as typed so far.
        to: String,
        /// Whether the question has just come up.
        fresh: bool,
    },
}

/// An answer.
pub enum Answer {
    /// Nothing is to be done.
    No,
    /// The bench of this name is to be deleted.
    Delete(String),
    /// The bench of the first name is to have the second.
    Rename(String, String),
}

impl Question {
    /// Asks for a new name of this bench.
    pub fn rename(name: &str) -> Self {
        Question::Rename {
            from: name.into(),
            to: name.into(),
            fresh: true,
        }
    }

    /// Draws the question; gives the answer where there is one.
    pub fn show(&mut self, ctx: &Context) -> Option<Answer> {
        let modal = Modal::new(Id::unique("bench question")).show(ctx, |ui| {
            ui.set_width(380.0);
            match self {
                Question::Delete(name) => delete(ui, name),
                Question::Rename { from, to, fresh } => rename(ui, from, to, fresh),
            }
        });
        let closed = modal.should_close().then_some(Answer::No);
        modal.inner.or(closed)
    }
}

fn delete(ui: &mut Ui, name: &str) -> Option<Answer> {
    ui.heading(format!("Delete the bench '{name}'?"));
    ui.label("Its file is removed; the present settings stay as they are.");
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        let yes = ui.button("Delete it").clicked();
        let no = ui.button("Keep it").clicked();
        match (yes, no) {
            (true, _) => Some(Answer::Delete(name.into())),
            (_, true) => Some(Answer::No),
            _ => None,
        }
    })
    .inner
}

fn rename(ui: &mut Ui, from: &str, to: &mut String, fresh: &mut bool) -> Option<Answer> {
    ui.heading(format!("Rename the bench '{from}'"));
    let enter = ui.horizontal(|ui| {
        let label = ui.label("New name");
        let edit = ui.add(TextEdit::singleline(to).desired_width(240.0));
        let edit = edit.labelled_by(label.id);
        if std::mem::take(fresh) {
            edit.request_focus();
        }
        edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter))
    });
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        let named = !to.trim().is_empty();
        let button = ui.add_enabled(named, egui::Button::new("Rename it"));
        let no = ui.button("Leave it").clicked();
        match (button.clicked() || (enter.inner && named), no) {
            (true, _) => Some(Answer::Rename(from.into(), to.trim().into())),
            (_, true) => Some(Answer::No),
            _ => None,
        }
    })
    .inner
}
