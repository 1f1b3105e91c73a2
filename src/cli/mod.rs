//! Words to requests to exit codes.
