//! The tape maker: bytes to a clean standard recording.
