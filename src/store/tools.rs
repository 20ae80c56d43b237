//! Tool classes, tools, wear parts and readings.
