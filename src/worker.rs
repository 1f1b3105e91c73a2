//! A named thread that works on the newest request.
