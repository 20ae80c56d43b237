//! All text a person sees on pages and in mail: Fluent keys, said in the reader's language.
//! A site's own text (names, notes) stays as typed.

pub mod chart;
pub mod shown;
pub mod worn;

use std::borrow::Cow;
use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use unic_langid::{LanguageIdentifier, langid};

/// The texts in English: what is said in many places, and what one subject alone says.
const ENGLISH_TEXTS: [&str; 22] = [
    include_str!("en-US.ftl"),
    include_str!("en-US/accounts.ftl"),
    include_str!("en-US/alone.ftl"),
    include_str!("en-US/audit.ftl"),
    include_str!("en-US/calendars.ftl"),
    include_str!("en-US/care.ftl"),
    include_str!("en-US/courts.ftl"),
    include_str!("en-US/incidents.ftl"),
    include_str!("en-US/installation.ftl"),
    include_str!("en-US/labels.ftl"),
    include_str!("en-US/leaves.ftl"),
    include_str!("en-US/limits.ftl"),
    include_str!("en-US/nets.ftl"),
    include_str!("en-US/orders.ftl"),
    include_str!("en-US/people.ftl"),
    include_str!("en-US/play.ftl"),
    include_str!("en-US/replan.ftl"),
    include_str!("en-US/tablets.ftl"),
    include_str!("en-US/tools.ftl"),
    include_str!("en-US/water.ftl"),
    include_str!("en-US/wear.ftl"),
    include_str!("en-US/weather.ftl"),
];

static ENGLISH: LazyLock<FluentBundle<FluentResource>> =
    LazyLock::new(|| bundle(langid!("en-US"), &ENGLISH_TEXTS));

fn bundle(language: LanguageIdentifier, texts: &[&str]) -> FluentBundle<FluentResource> {
    let mut bundle = FluentBundle::new_concurrent(vec![language]);
    // Marks around each value are for mixed writing directions; a mail's plain text shows them.
    bundle.set_use_isolating(false);
    for text in texts {
        let read = FluentResource::try_new((*text).to_owned());
        let resource = read.unwrap_or_else(|(resource, errors)| {
            tracing::error!(?errors, "a words file has faults");
            resource
        });
        bundle.add_resource_overriding(resource);
    }
    bundle
}

/// The text of a key.
pub fn say(key: &str) -> String {
    say_with(key, &[])
}

/// The text of a key with its values put in.
pub fn say_with(key: &str, values: &[(&str, FluentValue<'_>)]) -> String {
    let mut args = FluentArgs::new();
    for (name, value) in values {
        args.set(*name, value.clone());
    }
    let Some(pattern) = ENGLISH.get_message(key).and_then(|message| message.value()) else {
        tracing::error!(key, "a text is missing");
        return key.to_owned();
    };
    let mut faults = Vec::new();
    let text: Cow<'_, str> = ENGLISH.format_pattern(pattern, Some(&args), &mut faults);
    if !faults.is_empty() {
        tracing::error!(key, ?faults, "a text lacks a value");
    }
    text.into_owned()
}

/// Whether a key has a text.
pub fn knows(key: &str) -> bool {
    ENGLISH.has_message(key)
}
