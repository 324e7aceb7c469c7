//! Pages of a trap in two stores.

use shakmaty::Color;

use super::*;
use crate::answers::Sampling;
use crate::answers::months::Change;
use crate::pages::kit::{mean, printed};
use crate::terms::MoverFilter;

fn answer() -> MonthsAnswer {
    let store = |name: &str, first: &str, last: &str, undated, month| StoreMonth {
        name: name.into(),
        first: first.into(),
        last: last.into(),
        undated,
        games: 12_345,
        month,
        keep_from: 5,
        limits: crate::pages::kit::limits(),
    };
    let share = |k, n| Sampling::from(50).share(k, n);
    let change = |by_store, a_month, turn| Change { by_store, a_month, turn };
    let trap = TrapMonths {
        name: "The <Shilling> trap".into(),
        setter: Color::Black,
        line: "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5".into(),
        may_lack: [0, 4].map(Lacking::UpTo).to_vec(),
        occurrence: change(
            vec![share(200, 12_345), share(230, 12_345)],
            mean(0.0024, -0.0009, 0.0057, 12_345),
            Turn::Unclear,
        ),
        slip_rate: change(
            vec![share(120, 200), share(92, 230)],
            mean(-0.2, -0.29, -0.105, 200),
            Turn::Falls,
        ),
        find_rate: change(
            vec![share(60, 120), share(20, 40)],
            Sampling::from(50).score(1, 0, 39),
            Turn::Unclear,
        ),
        slips_per_1000: change(
            vec![mean(9.7, 8.1, 11.6, 200), mean(7.4, 6.0, 9.1, 230)],
            mean(-2.3, -4.0, -0.5, 200),
            Turn::Falls,
        ),
    };
    MonthsAnswer {
        filter: MoverFilter::ALL,
        min_sample: 50,
        stores: vec![
            store("may.store", "2031-05-01", "2031-05-31", 0, 0.0),
            store("june.store", "2031-06-01", "2031-06-30", 15_467, 1.0),
        ],
        traps: vec![trap],
    }
}

#[test]
fn stores_stand_below_each_other_and_the_change_last() {
    insta::assert_snapshot!(printed(|out| text(out, &answer())));
}

#[test]
fn every_row_of_the_table_is_as_wide_as_its_head() {
    let page = printed(|out| csv(out, &answer()));
    let rows: Vec<Vec<String>> = ::csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(page.as_bytes())
        .records()
        .map(|row| row.expect("a row of the width").iter().map(str::to_owned).collect())
        .collect();
    let at = |name: &str| rows[0].iter().position(|head| head == name).expect("a column");
    assert_eq!(rows.len(), 4);
    assert_eq!(
        [1, 2, 3].map(|row: usize| rows[row][at("scope")].as_str()),
        ["store", "store", "a_month"]
    );
    assert_eq!(
        (rows[2][at("undated")].as_str(), rows[3][at("slip_rate")].as_str()),
        ("15467", "-0.2")
    );
    assert!(rows[3][at("withheld")].starts_with("find_rate: "));
}

#[test]
fn the_chart_tells_its_numbers_in_words_and_escapes_names() {
    let picture = chart(&answer());
    assert!(picture.contains("The &lt;Shilling&gt; trap") && !picture.contains("<Shilling>"));
    assert!(picture.contains("2031-05-01: 60.0 ["), "{picture}");
    // Two stores of four figures; the find rate of the second is thin and has no dot.
    assert_eq!((picture.matches("<circle").count(), picture.matches("<path").count()), (7, 8));
}
