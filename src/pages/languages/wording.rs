//! How phrases become a struct of wordings and methods that fill their slots.

/// The struct of phrases that `part` of a language gives, what a language says by each, and the
/// checks of them.
macro_rules! phrases {
    (
        $(#[$about:meta])* $name:ident of $part:ident { $($(#[$meaning:meta])* $field:ident: $kind:ty),* $(,)? }
        lists { $($list:ident[$size:literal]),* $(,)? }
        words { $($word:ident),* $(,)? }
        counted { $($noun:ident),* $(,)? }
        sentences { $($sentence:ident($($slot:ident: $type:ty),+)),* $(,)? }
    ) => {
        $(#[$about])*
        #[derive(Debug)]
        #[expect(missing_docs, reason = "the wording says what each is for")]
        pub struct $name {
            $($(#[$meaning])* pub $field: $kind,)*
            $(pub $list: [&'static str; $size],)*
            $(pub $word: &'static str,)*
            $(pub $noun: [&'static str; 2],)*
            $(pub $sentence: &'static str,)*
        }

        impl Language {
            $(
                pub(in crate::pages) fn $noun(&self, n: u64) -> String {
                    self.of_number(self.$part().$noun, n)
                }
            )*
            $(
                pub(in crate::pages) fn $sentence(&self, $($slot: $type),+) -> Markup {
                    filled(self.$part().$sentence, [$((stringify!($slot), $slot.written(self))),+])
                }
            )*
        }

        impl $name {
            /// Stops the compiler where the slots of a phrase are not those that it should have.
            pub(in crate::pages) const fn check(&self) {
                $(check(self.$word, &[], concat!(stringify!($word), " has no slots"));)*
                $(
                    check_if_any(self.$noun[0], &["n"], concat!(stringify!($noun), " has the slot n for one, or none"));
                    check(self.$noun[1], &["n"], concat!(stringify!($noun), " has the slot n for several"));
                )*
                $(check(
                    self.$sentence,
                    &[$(stringify!($slot)),+],
                    concat!(stringify!($sentence), " has the slots ", $(stringify!($slot), " "),+),
                );)*
            }

            /// The wordings of what is counted.
            #[cfg(test)]
            pub(super) fn counted(&self) -> Vec<(&'static str, [&'static str; 2])> {
                vec![$((stringify!($noun), self.$noun)),*]
            }

            /// Every phrase with its name.
            #[cfg(test)]
            pub(super) fn phrases(&self) -> Vec<(&'static str, &'static str)> {
                let lists = [$((stringify!($list), &self.$list[..]),)* $((stringify!($noun), &self.$noun),)*];
                let lists = lists.into_iter().flat_map(|(name, texts)| texts.iter().map(move |text| (name, *text)));
                lists
                    .chain([$((stringify!($word), self.$word),)* $((stringify!($sentence), self.$sentence),)*])
                    .collect()
            }
        }
    };
}

pub(super) use phrases;
