//! `help`: the commands and the topics.

use std::io::Write;

use clap::{Args, Command};

use super::error::CliError;
use super::output::Output;
use crate::pages::help::{TOPICS, Topic};

/// `help`.
#[derive(Debug, Args)]
pub struct HelpArgs {
    /// A command or a topic [default: a list of them]
    #[arg(value_name = "COMMAND or TOPIC")]
    about: Option<String>,
}

impl HelpArgs {
    /// What the parser answers: the help of the program, or that of one of its commands.
    pub fn parsed(&self, program: &Command) -> Option<Vec<&str>> {
        let word = self.about.as_deref();
        let is_known = word.is_none_or(|word| program.find_subcommand(word).is_some());
        let is_topic = word.and_then(Topic::named).is_some();
        (is_known && !is_topic)
            .then(|| ["deadfall"].into_iter().chain(word).chain(["--help"]).collect())
    }
}

/// Prints a topic, and the help of the command of that name if there is one.
pub fn run(args: &HelpArgs, mut program: Command, output: &mut Output) -> Result<(), CliError> {
    let word = args.about.as_deref().unwrap_or_default();
    let Some(topic) = Topic::named(word) else { return Err(unknown(word, &program)) };
    let mut page = topic.plain();
    program.build();
    if let Some(command) = program.find_subcommand_mut(word) {
        page += &format!("\n{}", command.render_long_help());
    }
    Ok(output.answer().write_all(page.as_bytes())?)
}

fn unknown(word: &str, program: &Command) -> CliError {
    let names = program.get_subcommands().map(Command::get_name);
    let names = names.chain(TOPICS.iter().map(|topic| topic.name));
    let lower = word.to_lowercase();
    let far = |name: &str| strsim::damerau_levenshtein(&lower, name);
    let nearest = names.min_by_key(|name| far(name)).filter(|name| far(name) <= 1 + name.len() / 3);
    let hint = nearest.map_or(String::new(), |name| format!("did you mean {name}? "));
    CliError::Usage(format!(
        "there is no command and no topic '{word}': {hint}deadfall help lists them all"
    ))
}
