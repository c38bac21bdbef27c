//! File → [`Reading`](super::Reading).
