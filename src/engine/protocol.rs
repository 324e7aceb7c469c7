//! The lines of UCI that matter here, read.

/// An evaluation from the view of the side to move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Score {
    /// Centipawns.
    Centipawns(i32),
    /// Mate in so many moves; negative if the side to move is mated, 0 if it is mated already.
    Mate(i32),
}

impl Score {
    /// Centipawns within +-1000; a mate is the limit.
    pub fn clamped(self) -> i32 {
        match self {
            Score::Centipawns(centipawns) => centipawns.clamp(-1000, 1000),
            Score::Mate(moves) if moves > 0 => 1000,
            Score::Mate(_) => -1000,
        }
    }
}

/// What a line says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Said {
    /// `id name ...`
    Name(String),
    /// `uciok`
    UciOk,
    /// `readyok`
    ReadyOk,
    /// `info ...` with what is of use in it. A score that is only a bound is none.
    Info { score: Option<Score>, nodes: Option<u64> },
    /// `bestmove ...`
    BestMove(String),
    /// A word of the protocol that does not matter here, or an empty line.
    Other,
    /// No word of the protocol.
    Unknown,
}

impl Said {
    pub fn read(line: &str) -> Said {
        let mut words = line.split_whitespace();
        match words.next() {
            Some("id") => match words.next() {
                Some("name") => Said::Name(words.collect::<Vec<_>>().join(" ")),
                _ => Said::Other,
            },
            Some("uciok") => Said::UciOk,
            Some("readyok") => Said::ReadyOk,
            Some("info") => info(words.collect()),
            Some("bestmove") => Said::BestMove(words.next().unwrap_or_default().to_owned()),
            Some("option" | "copyprotection" | "registration") | None => Said::Other,
            Some(_) => Said::Unknown,
        }
    }
}

fn info(words: Vec<&str>) -> Said {
    // Anything may follow `string`.
    let end = words.iter().position(|word| *word == "string").unwrap_or(words.len());
    let words = &words[..end];
    let behind = |name: &str| {
        let place = words.iter().position(|word| *word == name)?;
        words.get(place + 1..)
    };
    let number = |words: &[&str]| words.first().and_then(|word| word.parse::<i32>().ok());
    let is_bound = words.iter().any(|word| matches!(*word, "lowerbound" | "upperbound"));
    let is_main = behind("multipv").is_none_or(|words| words.first() == Some(&"1"));
    let score = behind("score").and_then(|words| match words {
        ["cp", rest @ ..] => number(rest).map(Score::Centipawns),
        ["mate", rest @ ..] => number(rest).map(Score::Mate),
        _ => None,
    });
    // A count that no number holds is the highest one.
    let is_number =
        |word: &&&str| !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_digit());
    let nodes = behind("nodes").and_then(|words| words.first().filter(is_number));
    let nodes = nodes.map(|word| word.parse().unwrap_or(u64::MAX));
    Said::Info { score: score.filter(|_| is_main && !is_bound), nodes }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn info(score: Option<Score>, nodes: Option<u64>) -> Said {
        Said::Info { score, nodes }
    }

    /// The lines of an exchange, made from the protocol's own description.
    #[test]
    fn the_lines_that_matter_are_read() {
        assert_eq!(Said::read("id name Harbour 1.0"), Said::Name("Harbour 1.0".into()));
        assert_eq!(Said::read("id author the league"), Said::Other);
        assert_eq!((Said::read("uciok"), Said::read(" readyok ")), (Said::UciOk, Said::ReadyOk));
        assert_eq!(Said::read("option name Hash type spin default 16"), Said::Other);
        assert_eq!(
            Said::read("info depth 12 seldepth 18 score cp -31 nodes 20481 pv e7e5 g1f3"),
            info(Some(Score::Centipawns(-31)), Some(20481))
        );
        assert_eq!(
            Said::read("info depth 3 score mate -2 nodes 77"),
            info(Some(Score::Mate(-2)), Some(77))
        );
        assert_eq!(Said::read("bestmove e7e5 ponder g1f3"), Said::BestMove("e7e5".into()));
        assert_eq!(Said::read("hello"), Said::Unknown);
    }

    #[test]
    fn bounds_other_lines_and_remarks_are_no_scores() {
        assert_eq!(Said::read("info score cp 20 lowerbound nodes 5"), info(None, Some(5)));
        assert_eq!(Said::read("info multipv 2 score cp 20 nodes 5"), info(None, Some(5)));
        assert_eq!(Said::read("info string score cp 20"), info(None, None));
        assert_eq!(Said::read("info score cp lots nodes many"), info(None, None));
    }

    #[test]
    fn counts_of_nodes_do_not_wrap() {
        let most = info(None, Some(u64::MAX));
        assert_eq!(Said::read("info nodes 18446744073709551615"), most);
        assert_eq!(Said::read("info nodes 999999999999999999999999"), most);
        assert_eq!(Said::read("info nodes -1"), info(None, None));
    }

    #[test]
    fn a_mate_is_the_limit() {
        let scores = [Score::Centipawns(1500), Score::Mate(3), Score::Mate(-1), Score::Mate(0)];
        assert_eq!(scores.map(Score::clamped), [1000, 1000, -1000, -1000]);
    }
}
