//! The arguments of a bench.

use std::str::FromStr;

/// What stands behind `cargo bench --bench NAME --`.
pub struct Args(Vec<String>);

impl Args {
    /// The process's own; none where it is not `cargo bench` that runs it, for instance with all the tests.
    pub fn read() -> Option<Self> {
        let mut args: Vec<String> = std::env::args().skip(1).collect();
        let Some(at) = args.iter().position(|arg| arg == "--bench") else {
            println!("Nothing is measured without --bench, which cargo bench gives.");
            return None;
        };
        args.remove(at);
        Some(Self(args))
    }

    /// Takes `name VALUE` out, the value parted at commas; `usual` where it is not given.
    pub fn list<T: FromStr>(&mut self, name: &str, usual: Vec<T>) -> Vec<T> {
        let Some(at) = self.0.iter().position(|arg| arg == name) else {
            return usual;
        };
        let value = self.0.drain(at..(at + 2).min(self.0.len())).nth(1);
        let parts = value.iter().flat_map(|value| value.split(','));
        let parts: Option<Vec<T>> = parts.map(|part| part.parse().ok()).collect();
        match parts {
            Some(parts) if !parts.is_empty() => parts,
            _ => panic!("{name} takes a number, or several with commas between them"),
        }
    }

    /// Takes `name VALUE` out; `usual` where it is not given.
    pub fn one<T: FromStr>(&mut self, name: &str, usual: T) -> T {
        self.list(name, vec![usual]).swap_remove(0)
    }

    /// The words left, which choose by parts of names.
    pub fn words(self) -> Vec<String> {
        if let Some(strange) = self.0.iter().find(|word| word.starts_with('-')) {
            panic!("unknown option {strange}");
        }
        self.0
    }
}
