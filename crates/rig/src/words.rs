//! The vocabulary of documents: each word is declared once, and format, reader, screens and papers take it from there.

/// A thing that a document says by a word of a fixed vocabulary.
pub trait Word: Copy + 'static {
    /// Every word of the vocabulary, in the order of lists.
    const WORDS: &'static [&'static str];

    /// What a word stands for; `None` where it is none of the vocabulary.
    fn of(word: &str) -> Option<Self>;
}

/// Gives each variant of an enum its word. A variant without one does not compile.
macro_rules! vocabulary {
    ($name:ident: $($variant:ident = $word:literal),+) => {
        impl $name {
            /// The word used in documents, on screens and on paper.
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word),+
                }
            }
        }

        impl $crate::Word for $name {
            const WORDS: &'static [&'static str] = &[$($word),+];

            fn of(word: &str) -> Option<Self> {
                match word {
                    $($word => Some(Self::$variant),)+
                    _ => None,
                }
            }
        }
    };
}
