//! Many thin ribs: a stock that takes more memory than it may is told of, and one that takes just as much as it may is cut as
//! without a limit.

use super::*;
use crate::stock::StockError;
use std::fmt::Write;

/// Slots a millimetre wide every two along X, then along Y, halfway down: the level rays are cut into many pieces.
fn ribs() -> String {
    let mut text = "G0 X-5. Y1.\nG43 H1 Z5.\n".to_owned();
    for k in 0..20 {
        let y = 1 + 2 * k;
        writeln!(text, "G0 X-5. Y{y}.\nG1 Z-10. F500.\nX65.\nG0 Z5.").unwrap();
    }
    for k in 0..30 {
        let x = 1 + 2 * k;
        writeln!(text, "G0 X{x}. Y-5.\nG1 Z-10. F500.\nY45.\nG0 Z5.").unwrap();
    }
    text
}

fn cut_within(c: &Cut, limit: u64, threads: usize) -> Result<Stock, StockError> {
    let mut stock = Stock::new(&c.job.stock, 0.25).expect("a block").limited(limit);
    let mut history = History::new(&c.job.stock).expect("a block");
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    pool.install(|| {
        cut_setup(&mut stock, &mut history, &c.job, 0, &c.run, None, &|_| ControlFlow::Continue(()))
    })?;
    Ok(stock)
}

#[test]
fn thousands_of_ribs_take_no_more_memory_than_allowed() {
    let c = cut(&ribs(), &[("\"diameter\": 10", "\"diameter\": 1")]);
    let most = c.stock.ray(Axis::Y, 0, 0).len().max(c.stock.ray(Axis::Y, 40, 0).len());
    assert!(most > 20, "{most}");
    let raw = Stock::new(&c.job.stock, 0.25).expect("a block").bytes() as u64;
    let whole = c.stock.bytes() as u64;
    assert!(whole > 2 * raw, "{raw} {whole}");
    for threads in [1, 2] {
        // Room enough, looked at after every few ops: cut as without a limit. (While it is cut it takes more than in the end.)
        let stock = cut_within(&c, 2 * whole, threads).expect("just enough");
        for axis in Axis::ALL {
            for j in 0..stock.grid(axis).v.count() {
                for i in 0..stock.grid(axis).u.count() {
                    assert_eq!(stock.ray(axis, i, j), c.stock.ray(axis, i, j), "{axis:?} {i} {j}");
                }
            }
        }
        for limit in [raw, raw + (whole - raw) / 2, raw + (whole - raw) * 9 / 10] {
            let why = cut_within(&c, limit, threads).expect_err("too many ribs");
            assert_eq!(why, StockError::Overfull { spacing: 0.25, limit });
        }
    }
}
