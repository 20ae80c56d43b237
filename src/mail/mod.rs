//! From a report to a message on the wire.
