//! Small enums that are stored and sent as one word of text.

use thiserror::Error;

/// A stored or sent word that is none of those expected.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("`{word}` is not a known {what}")]
pub struct UnknownWord {
    /// What was looked for, as the name of the type.
    pub what: &'static str,
    /// The word that was given.
    pub word: String,
}

/// Declares an enum whose members have one word each: in serde, in `as_str` and in `FromStr`.
macro_rules! word_enum {
    ($(#[$meta:meta])* $name:ident { $($(#[$note:meta])* $member:ident = $word:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub enum $name {
            $($(#[$note])* #[serde(rename = $word)] $member,)+
        }

        impl $name {
            /// Every member, in the order in which they are declared.
            pub const ALL: &'static [Self] = &[$(Self::$member),+];

            /// The word under which it is stored and sent.
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Self::$member => $word,)+
                }
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::UnknownWord;

            fn from_str(word: &str) -> Result<Self, Self::Err> {
                match word {
                    $($word => Ok(Self::$member),)+
                    _ => Err($crate::UnknownWord { what: stringify!($name), word: word.to_owned() }),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }
    };
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;
    use serde::de::IntoDeserializer;
    use serde::de::value::{Error, StrDeserializer};

    use crate::calendar::IsoWeek;
    use crate::care::{Cadence, CareTask};

    fn sent(word: &str) -> StrDeserializer<'_, Error> {
        word.into_deserializer()
    }

    #[test]
    fn a_word_is_read_back_as_what_was_stored_and_as_what_was_sent() {
        for task in CareTask::ALL {
            assert_eq!(task.as_str().parse(), Ok(*task));
            assert_eq!(CareTask::deserialize(sent(task.as_str())), Ok(*task));
        }
        assert!(CareTask::deserialize(sent("LookOver")).is_err());
    }

    #[test]
    fn an_unknown_word_is_named() {
        let error = "rake".parse::<CareTask>().unwrap_err();
        assert_eq!(error.to_string(), "`rake` is not a known CareTask");
    }

    #[test]
    fn weeks_and_cadences_are_sent_as_they_are_written() {
        assert_eq!(
            IsoWeek::deserialize(sent("2031-W24")).unwrap().to_string(),
            "2031-W24"
        );
        assert!(IsoWeek::deserialize(sent("2031-W54")).is_err());
        assert_eq!(
            Cadence::deserialize(sent("every_10_days"))
                .unwrap()
                .to_string(),
            "every_10_days"
        );
    }
}
