//! `completions`: what a shell needs to complete the commands and their options.

use std::io::Write;

use clap::{Args, Command};
use clap_complete::{Shell, generate};

use super::error::CliError;
use super::output::Output;

/// `completions`.
#[derive(Debug, Args)]
#[command(after_help = "\
The script goes to standard output; where it belongs depends on the shell:
  bash        deadfall completions bash > ~/.local/share/bash-completion/completions/deadfall
  zsh         deadfall completions zsh > _deadfall, in a folder of $fpath
  fish        deadfall completions fish > ~/.config/fish/completions/deadfall.fish
  PowerShell  deadfall completions powershell >> $PROFILE")]
pub struct CompletionsArgs {
    /// For which shell
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: Shell,
}

pub fn run(
    args: &CompletionsArgs,
    mut program: Command,
    output: &mut Output,
) -> Result<(), CliError> {
    let mut script = Vec::new();
    generate(args.shell, &mut program, "deadfall", &mut script);
    Ok(output.data().write_all(&script)?)
}
