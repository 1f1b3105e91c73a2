//! The command line: the program itself, run in a folder of its own for each test.

mod advice;
mod blocks;
mod bounded;
mod desk;
mod excerpt;
mod help;
mod help_pages;
mod outputs;
mod picture;
mod random_lines;
mod read;
mod readme;
mod records;
mod score;
mod settings;
mod several;
mod stretch;
mod tape;
mod terminal;
mod traces;
mod usage;
