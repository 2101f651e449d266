//! Closed lists of words: one enumeration for the program, the same words for the line and the manual.

/// An enumeration whose values are words of the language.
pub(crate) trait Words: Copy + 'static {
    /// The value of a word in lower case.
    fn read(word: &str) -> Option<Self>;
}

/// Makes an enumeration with its words.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$value_doc:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[$value_doc])* $value,)+
        }

        impl $name {
            /// All values.
            pub const ALL: &'static [Self] = &[$(Self::$value),+];
            /// The words of all values, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// Its word on the wire.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$value => $word,)+ }
            }

            /// The value of a word in lower case.
            pub fn of_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|value| value.word() == word)
            }
        }

        impl $crate::words::Words for $name {
            fn read(word: &str) -> Option<Self> {
                Self::of_word(word)
            }
        }
    };
}
pub(crate) use words;
