//! Play sessions, closures and observed conditions.
