//! What `trap --over` answers.

use super::answers::{Colour, Filter, Mean, Rate};
use super::shape::{object, words};

words!(Turn: Rises Falls Unclear);

object!(Months {
    filter: Filter,
    min_sample: u64,
    stores: Vec<StoreMonth>,
    traps: Vec<TrapMonths>
});
object!(StoreMonth {
    name: String,
    first: String,
    last: String,
    undated: u64,
    games: u64,
    month: f64,
    keep_from: u64
});
object!(TrapMonths {
    name: String,
    setter: Colour,
    line: String,
    may_lack: Vec<u64>,
    occurrence: RateChange,
    slip_rate: RateChange,
    find_rate: RateChange,
    slips_per_1000: MeanChange,
});
object!(RateChange = "change of a rate" { by_store: Vec<Rate>, a_month: Mean, turn: Turn });
object!(MeanChange = "change of a mean" { by_store: Vec<Mean>, a_month: Mean, turn: Turn });
