//! Completions and manual pages come from the definition of the commands, so they lack none.

use crate::kit::Folder;

/// The names of the commands, as the help lists them.
fn commands(folder: &Folder) -> Vec<String> {
    let help = folder.run("--help").answer();
    let list =
        help.split("Commands:").nth(1).expect("a list").split("\n\n").next().expect("its end");
    let names = list.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    names.filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// The long options that a help names.
fn options(help: &str) -> Vec<&str> {
    let words = help.lines().filter_map(|line| {
        let line = line.trim_start();
        line.starts_with('-')
            .then(|| line.split_whitespace().find(|word| word.starts_with("--")))?
    });
    words.map(|word| word.trim_end_matches([',', '.'])).collect()
}

#[test]
fn completions_know_every_command_and_option() {
    let folder = Folder::new();
    let commands = commands(&folder);
    assert!(
        commands.len() > 12 && commands.iter().any(|name| name == "completions"),
        "{commands:?}"
    );
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = folder.run(&format!("completions {shell}")).answer();
        for command in &commands {
            assert!(script.contains(command.as_str()), "{shell}: {command}");
            let help = folder.run(&format!("{command} --help")).answer();
            for option in options(&help) {
                let word = if shell == "fish" { option.trim_start_matches('-') } else { option };
                assert!(script.contains(word), "{shell}: {command} {option}");
            }
        }
    }
    // The one that is at hand reads its own.
    folder.write("deadfall.bash", folder.run("completions bash").answer());
    let typed = "source ./deadfall.bash; COMP_WORDS=(deadfall mo); COMP_CWORD=1; _deadfall deadfall mo deadfall; echo ${COMPREPLY[@]}";
    assert_eq!(folder.shell(typed).ok().stdout(), "moves\n");
    let wrong = folder.run("completions tcsh").exits(2).stderr();
    assert!(wrong.contains("tcsh") && wrong.contains("bash"), "{wrong}");
}

#[test]
fn there_is_a_manual_page_for_every_command() {
    let folder = Folder::new();
    folder.run("man --out pages").ok();
    let program = folder.text("pages/deadfall.1");
    for command in commands(&folder) {
        let page = folder.text(&format!("pages/deadfall-{command}.1"));
        let page = page.replace("\\-", "-");
        assert!(page.contains(&format!(".TH deadfall-{command} 1")), "{page}");
        for option in options(&folder.run(&format!("{command} --help")).answer()) {
            assert!(page.contains(option), "{command}: {option}\n{page}");
        }
        assert!(
            program.replace("\\-", "-").contains(&format!("deadfall-{command}(1)")),
            "{command}"
        );
    }
}

#[test]
fn manual_pages_are_written_all_or_none_and_over_nothing() {
    let folder = Folder::new();
    folder.run("man --out pages").ok();
    let before = folder.files();
    let refused = folder.run("man --out pages").refused(4);
    assert!(refused.contains("already exists"), "{refused}");
    folder.run("man --out pages --overwrite").ok();
    assert_eq!(folder.files(), before);
}
