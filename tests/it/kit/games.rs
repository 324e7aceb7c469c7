//! Games of the invented Harbour League, written move by move.

use std::fmt;
use std::sync::LazyLock;

use deadfall::terms::Group;

/// The name of a player of each group.
static PLAYERS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let names = || (0..).map(|number| format!("pilot {number}"));
    let of = |group| names().find(|name| Group::of_name(name.as_bytes()) == group);
    Group::all().map(|group| of(group).expect("names do not end")).collect()
});

/// A game under construction; it starts as a rated blitz game that White wins.
#[derive(Clone, Debug)]
pub struct Game {
    tags: Vec<(String, String)>,
    moves: Vec<String>,
    clocks: Vec<String>,
    evals: Vec<String>,
}

impl Game {
    /// A game with these moves, SAN without numbers.
    pub fn of(moves: &str) -> Game {
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect();
        let game =
            Game { tags: Vec::new(), moves: words(moves), clocks: Vec::new(), evals: Vec::new() };
        game.tag("Event", "Harbour League rated blitz")
            .tag("UTCDate", "2031.05.17")
            .tag("Result", "1-0")
            .ratings(1500, 1600)
            .tag("TimeControl", "300+3")
    }

    /// Sets a tag.
    pub fn tag(mut self, name: &str, value: &str) -> Game {
        self.tags.retain(|(known, _)| known != name);
        self.tags.push((name.to_owned(), value.to_owned()));
        self
    }

    /// Leaves a tag out.
    pub fn without(mut self, name: &str) -> Game {
        self.tags.retain(|(known, _)| known != name);
        self
    }

    pub fn ratings(self, white: u16, black: u16) -> Game {
        self.tag("WhiteElo", &white.to_string()).tag("BlackElo", &black.to_string())
    }

    pub fn result(self, result: &str) -> Game {
        self.tag("Result", result)
    }

    pub fn opening(self, eco: &str, name: &str) -> Game {
        self.tag("ECO", eco).tag("Opening", name)
    }

    /// Clock readings behind the moves; `_` for a move without.
    pub fn clocks(mut self, clocks: &str) -> Game {
        self.clocks = clocks.split_whitespace().map(str::to_owned).collect();
        self
    }

    /// Evaluations behind the moves; `_` for a move without.
    pub fn evals(mut self, evals: &str) -> Game {
        self.evals = evals.split_whitespace().map(str::to_owned).collect();
        self
    }

    /// The same game several times over. Players without a name get one: a player of each group has
    /// its turn, so that such games say as much as games of different players.
    pub fn times(&self, count: usize) -> String {
        let named = |game: Game, side: &str, place: usize| {
            let known = game.tags.iter().any(|(name, _)| name == side);
            if known { game } else { game.tag(side, &PLAYERS[place % PLAYERS.len()]) }
        };
        let game = |place| named(named(self.clone(), "White", place), "Black", place + 16);
        (0..count).map(|place| game(place).to_string()).collect()
    }

    fn comment(&self, ply: usize) -> String {
        let command = |name: &str, values: &[String]| match values.get(ply).map(String::as_str) {
            None | Some("_") => String::new(),
            Some(value) => format!(" [%{name} {value}]"),
        };
        let commands = command("eval", &self.evals) + &command("clk", &self.clocks);
        if commands.is_empty() { commands } else { format!(" {{{commands} }}") }
    }
}

impl fmt::Display for Game {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (name, value) in &self.tags {
            writeln!(f, "[{name} \"{value}\"]")?;
        }
        writeln!(f)?;
        for (ply, san) in self.moves.iter().enumerate() {
            if ply % 2 == 0 {
                write!(f, "{}. ", ply / 2 + 1)?;
            }
            write!(f, "{san}{} ", self.comment(ply))?;
        }
        let result = self.tags.iter().find(|(name, _)| name == "Result");
        writeln!(f, "{}\n", result.map_or("*", |(_, result)| result))
    }
}

/// The games one after another.
pub fn dump(games: &[Game]) -> String {
    games.iter().map(Game::to_string).collect()
}
