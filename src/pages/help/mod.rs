//! The topics of `deadfall help`: Markdown files that the program prints and the docs of the
//! code include.
//!
//! What is said elsewhere in the code is not said again in them: a line such as
//! `<!-- table: trap glossary -->` becomes the table that `tables` makes. `tests/it/readme.rs` runs
//! their commands and compares their samples.

mod markdown;
mod status;
mod tables;

pub use status::exit_status;

/// A topic.
#[derive(Clone, Copy, Debug)]
pub struct Topic {
    /// What is typed.
    pub name: &'static str,
    /// What it is about, for the list of topics.
    pub about: &'static str,
    text: &'static str,
}

macro_rules! topic {
    ($name:literal, $about:literal) => {
        Topic { name: $name, about: $about, text: include_str!(concat!($name, ".md")) }
    };
}

/// All topics, in the order of the list.
pub static TOPICS: [Topic; 8] = [
    topic!("figures", "what every word, column and piece of advice means"),
    topic!("margins", "margins of error, and what the numbers cannot know"),
    topic!("hunt", "traps that nobody talks about"),
    topic!("soundness", "whether the slip really loses"),
    topic!("formats", "files of traps and claims, JSON, CSV, exit status"),
    topic!("which-games", "which games count, and what a store keeps"),
    topic!("sharing", "several months, machines and stores"),
    topic!("month", "a real month, step by step: time, room, how much is enough"),
];

impl Topic {
    /// The topic of this name, in letters of either case.
    pub fn named(name: &str) -> Option<&'static Topic> {
        TOPICS.iter().find(|topic| topic.name.eq_ignore_ascii_case(name))
    }

    /// The topic as Markdown, with the tables that come from the code.
    ///
    /// # Panics
    ///
    /// If it asks for a table that there is none of.
    pub fn markdown(&self) -> String {
        let line = |line: &str| match tables::asked(line) {
            Some(name) => tables::named(name),
            None => format!("{line}\n"),
        };
        self.text.lines().map(line).collect()
    }

    /// The topic as plain text, 80 columns wide.
    pub fn plain(&self) -> String {
        markdown::plain(&self.markdown())
    }
}

/// One line a topic, its name first.
pub fn list() -> String {
    TOPICS.iter().map(|topic| format!("  {:11}  {}\n", topic.name, topic.about)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_topic_fits_a_small_terminal_and_is_ascii() {
        for topic in &TOPICS {
            let text = topic.plain();
            let wide = text.lines().find(|line| line.chars().count() > 80);
            assert_eq!(wide, None, "{}", topic.name);
            assert!(text.is_ascii() && text.len() > 1000, "{}", topic.name);
            assert!(!text.contains("<!--"), "{}", topic.name);
        }
        assert!(list().lines().all(|line| line.len() <= 80));
    }
}
