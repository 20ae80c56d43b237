//! Planning a day: runs, and taking their plan.
