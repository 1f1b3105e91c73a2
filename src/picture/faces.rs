//! The faces of the lettering, carried along so that a picture is the same on every machine.

/// The font files of [`super::Font::Plain`], [`super::Font::Bold`] and [`super::Font::Mono`].
pub const FACES: [&[u8]; 3] = [
    include_bytes!("../../assets/fonts/B612-Regular.otf"),
    include_bytes!("../../assets/fonts/B612-Bold.otf"),
    include_bytes!("../../assets/fonts/DejaVuSansMono.ttf"),
];
