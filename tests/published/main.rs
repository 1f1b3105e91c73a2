//! The program against published figures, and against common practice where nothing is
//! published. Each check names its source.

mod common_practice;
mod recording;
mod serial;
mod start_times;
mod timing;
