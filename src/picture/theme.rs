//! Inks, and their colours on light paper and on a dark page.
//!
//! Every ink stands off its ground and from its neighbours for colour-blind readers; the hues
//! are guided by the set of Okabe and Ito (2008, from memory) and darkened or lightened for the
//! ground. Colour is never the only sign: lanes carry names, faults carry shapes.

/// A colour: red, green, blue.
pub type Rgb = [u8; 3];

/// Light paper or a dark page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Theme {
    /// Light paper.
    #[default]
    Light,
    /// A dark page.
    Dark,
}

/// What a line or an area means; the theme gives its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// The ground of the page.
    Paper,
    /// Raised areas: cards, boxes of characters.
    Card,
    /// The fine grid.
    Grid,
    /// The strong grid, under labelled ticks.
    GridStrong,
    /// Frames and rules.
    Rule,
    /// Lettering.
    Text,
    /// Lettering of less weight.
    Faint,
    /// The source's trace.
    Source,
    /// The trace behind the input network.
    Shaped,
    /// The squarer's trace.
    Squarer,
    /// The short one-shot's trace.
    Short,
    /// The long one-shot's trace.
    Long,
    /// Characters.
    Character,
    /// Faults.
    Fault,
    /// The outline of what is selected.
    Selection,
    /// The ground of what is selected; lettering stands on it.
    Selected,
}

impl Ink {
    /// Every ink.
    pub const ALL: [Ink; 16] = [
        Ink::Paper,
        Ink::Card,
        Ink::Grid,
        Ink::GridStrong,
        Ink::Rule,
        Ink::Text,
        Ink::Faint,
        Ink::Source,
        Ink::Shaped,
        Ink::Squarer,
        Ink::Short,
        Ink::Long,
        Ink::Character,
        Ink::Fault,
        Ink::Selection,
        Ink::Selected,
    ];
}

impl Theme {
    /// The colour of an ink.
    pub fn colour(self, ink: Ink) -> Rgb {
        let (light, dark) = match ink {
            Ink::Paper => (0xFBFAF4, 0x15191E),
            Ink::Card => (0xFFFFFF, 0x1D232A),
            Ink::Grid => (0xEFECDF, 0x1E252C),
            Ink::GridStrong => (0xDEDAC9, 0x2B343D),
            Ink::Rule => (0xB5AF9B, 0x46525E),
            Ink::Text => (0x20262E, 0xE8E5DA),
            Ink::Faint => (0x67655C, 0xA3A198),
            Ink::Source => (0x0B5F99, 0x6FBBEA),
            Ink::Shaped => (0x5A6B7B, 0xA9B8C6),
            Ink::Squarer => (0x12766A, 0x57C6A8),
            Ink::Short => (0xA65A00, 0xE8A648),
            Ink::Long => (0x84458A, 0xD49BD0),
            Ink::Character => (0x26343F, 0xDCE4EA),
            Ink::Fault => (0xC0300C, 0xFF8261),
            Ink::Selection => (0xB8860B, 0xF2D064),
            Ink::Selected => (0xF5E8B8, 0x3B3216),
        };
        let code: u32 = if self == Theme::Light { light } else { dark };
        [(code >> 16) as u8, (code >> 8) as u8, code as u8]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Contrast ratio and relative luminance as W3C's WCAG 2.1 defines them.
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let light = |c: Rgb| {
            let part = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.03928 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2])
        };
        let (a, b) = (light(a), light(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// The two ends of the scale, 21:1, are given in the definition; the grey is the darkest that
    /// passes for text on white by that formula.
    #[test]
    fn contrast_is_that_of_the_definition() {
        let white = [0xFF; 3];
        assert!((contrast([0; 3], white) - 21.0).abs() < 1e-9);
        assert!((contrast(white, white) - 1.0).abs() < 1e-9);
        assert!(contrast([0x76; 3], white) >= 4.5 && contrast([0x77; 3], white) < 4.5);
    }

    /// WCAG 2.1 asks for 4.5 for text (1.4.3) and 3 for graphics (1.4.11).
    #[test]
    fn a_fault_can_be_read_on_the_selected_character() {
        for theme in [Theme::Light, Theme::Dark] {
            let ground = theme.colour(Ink::Selected);
            for ink in [Ink::Fault, Ink::Character, Ink::Text] {
                let ratio = contrast(theme.colour(ink), ground);
                assert!(ratio >= 4.5, "{theme:?} {ink:?}: {ratio:.2}");
            }
            for around in [Ink::Paper, Ink::Card] {
                let ratio = contrast(theme.colour(Ink::Selection), theme.colour(around));
                assert!(ratio >= 3.0, "{theme:?} {around:?}: {ratio:.2}");
            }
        }
    }

    /// WCAG 2.1 asks for 4.5 for text (1.4.3).
    #[test]
    fn lettering_and_traces_stand_off_the_paper() {
        for theme in [Theme::Light, Theme::Dark] {
            let paper = theme.colour(Ink::Paper);
            for ink in [
                Ink::Text,
                Ink::Faint,
                Ink::Source,
                Ink::Shaped,
                Ink::Squarer,
                Ink::Short,
                Ink::Long,
                Ink::Character,
                Ink::Fault,
            ] {
                let ratio = contrast(theme.colour(ink), paper);
                assert!(ratio >= 4.5, "{theme:?} {ink:?}: {ratio:.2}");
            }
        }
    }
}
