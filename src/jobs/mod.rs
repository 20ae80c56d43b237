//! What runs by itself: the outbox and whatever else the jobs table holds.
