//! Names of students as typed: each `--also` belongs to the `--name` before it.

use clap::{ArgMatches, Args, Command, Error, FromArgMatches};

use crate::extract::WantedStudent;

/// `--name` and `--also`.
#[derive(Clone, Debug)]
pub struct StudentNames(pub Vec<WantedStudent>);

impl Args for StudentNames {
    fn augment_args(command: Command) -> Command {
        let name = |option: &'static str, help: &'static str| {
            clap::Arg::new(option)
                .long(option)
                .value_name("NAME")
                .help(help)
                .action(clap::ArgAction::Append)
                .value_parser(read)
        };
        command
            .arg(
                name(
                    "name",
                    "The student's name as in the games; several make a table, one row each",
                )
                .required(true),
            )
            .arg(name("also", "Another spelling of the --name before it"))
    }

    fn augment_args_for_update(command: Command) -> Command {
        StudentNames::augment_args(command)
    }
}

impl FromArgMatches for StudentNames {
    fn from_arg_matches(matches: &ArgMatches) -> Result<StudentNames, Error> {
        let typed = |option: &str| -> Vec<(usize, String)> {
            let places = matches.indices_of(option).into_iter().flatten();
            places.zip(matches.get_many::<String>(option).into_iter().flatten().cloned()).collect()
        };
        let mut also = typed("also").into_iter().peekable();
        let mut names = typed("name").into_iter().peekable();
        if let (Some((place, other)), Some((first, name))) = (also.peek(), names.peek())
            && place < first
        {
            let why = format!(
                "--also {other} comes before any --name: write it after the name that it is another spelling of, as in \
                 --name {name} --also {other}"
            );
            return Err(Error::raw(clap::error::ErrorKind::ArgumentConflict, why));
        }
        let mut students = Vec::new();
        while let Some((_, name)) = names.next() {
            let next = names.peek().map_or(usize::MAX, |(place, _)| *place);
            let mut spellings = vec![name];
            while let Some((_, other)) = also.next_if(|(place, _)| *place < next) {
                spellings.push(other);
            }
            students.push(WantedStudent { names: spellings });
        }
        refuse_twice(&students)?;
        Ok(StudentNames(students))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = StudentNames::from_arg_matches(matches)?;
        Ok(())
    }
}

/// A name is one student's, and said once; names are alike as [`WantedStudent`] compares them.
fn refuse_twice(students: &[WantedStudent]) -> Result<(), Error> {
    let names: Vec<&String> = students.iter().flat_map(|student| &student.names).collect();
    for (place, name) in names.iter().enumerate() {
        if names[..place].iter().any(|other| other.eq_ignore_ascii_case(name)) {
            let why = format!("the name {name} is given twice: name each student once");
            return Err(Error::raw(clap::error::ErrorKind::ArgumentConflict, why));
        }
    }
    Ok(())
}

/// A name that may be one.
fn read(name: &str) -> Result<String, String> {
    match name.trim() {
        "" | "?" | "-" => Err("that is no name".to_owned()),
        name => Ok(name.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_spelling_belongs_to_the_name_before_it() {
        let command = StudentNames::augment_args(Command::new("test"));
        let read = |typed: &str| {
            let matches = command.clone().get_matches_from(typed.split(' '));
            StudentNames::from_arg_matches(&matches)
        };
        let StudentNames(students) =
            read("test --name a --also x --also=y --name b --name=c --also z").expect("names");
        let names: Vec<String> = students.iter().map(|student| student.names.join(" ")).collect();
        assert_eq!(names, ["a x y", "b", "c z"]);
        let error = read("test --also w --name a").expect_err("whose?").to_string();
        assert!(error.contains("--name a --also w"), "{error}");
        for typed in ["--name a --name A", "--name a --also b --name b", "--name a --also a"] {
            let error = read(&format!("test {typed}")).expect_err("twice").to_string();
            assert!(error.contains("is given twice"), "{typed}: {error}");
        }
    }
}
