//! What an engine may say.

use deadfall::engine::listen;

/// Whatever an engine says is a judgement within bounds or a short, plain message; and what it says
/// behind its answer changes nothing.
pub fn check(bytes: &[u8]) {
    match listen(bytes) {
        Ok(judged) => {
            assert!(judged.score.clamped().abs() <= 1000);
            is_plain(&judged.best);
            if bytes.ends_with(b"\n") {
                let more = [bytes, b"info score cp 999 nodes 99\nbestmove a1a1\n"].concat();
                assert_eq!(listen(&more).expect("it said so before"), judged);
            }
        }
        Err(error) => is_plain(&error.to_string()),
    }
}

fn is_plain(text: &str) {
    assert!(text.len() < 1000 && !text.contains(|letter: char| letter.is_control()), "{text:?}");
}

/// Answers as the protocol has them, and some that it has not.
pub fn seeds() -> Vec<Vec<u8>> {
    let texts = [
        "info depth 12 seldepth 18 multipv 1 score cp -31 nodes 20481 pv e7e5 g1f3\nbestmove e7e5 ponder g1f3\n",
        "id name Harbour\r\nuciok\r\nreadyok\r\ninfo score mate -2 nodes 77\r\nbestmove (none)\r\n",
        "info string score cp 1\ninfo score cp 20 lowerbound nodes 18446744073709551616\nbestmove\n",
        "option name Hash type spin\nregistration ok\nhello\n\x1b[31m\nbestmove a2a4",
        "info multipv 2 score cp 1\ninfo nodes x score cp 2147483648\ninfo score mate 0\nbestmove e1e2\nbestmove e1e1\n",
    ];
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}
