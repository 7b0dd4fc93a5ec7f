//! What the process and the machine take: time, processor, memory.

use std::hint::black_box;
use std::time::{Duration, Instant};

/// Time of the fastest of a few runs.
pub fn fastest<T>(runs: usize, mut work: impl FnMut() -> T) -> Duration {
    let once = |work: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..runs.max(1)).map(|_| once(&mut work)).min().unwrap_or_default()
}

/// Processor time that the threads of the process which are alive now have used so far, seconds; tells the work done
/// even where other processes share the processor. `None` where the system does not tell.
pub fn processor_seconds() -> Option<f64> {
    let nanoseconds = |entry: std::io::Result<std::fs::DirEntry>| -> Option<f64> {
        let text = std::fs::read_to_string(entry.ok()?.path().join("schedstat")).ok()?;
        text.split_whitespace().next()?.parse().ok()
    };
    let tasks = std::fs::read_dir("/proc/self/task").ok()?;
    let all: Option<Vec<f64>> = tasks.map(nanoseconds).collect();
    Some(all?.iter().sum::<f64>() * 1e-9)
}

/// Most memory that the process has held so far, or since [`forget_peak`], MB; `None` where the system does not tell.
pub fn peak_megabytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? / 1024)
}

/// Makes [`peak_megabytes`] begin anew with what is held now; where the system does not allow it, nothing happens.
pub fn forget_peak() {
    let _refused = std::fs::write("/proc/self/clear_refs", "5");
}

/// Bandwidth of reading, changing and writing back 256 MB of 32-bit numbers with one thread, bytes moved per second.
pub fn memory_roof() -> f64 {
    let mut numbers = vec![1_i32; 64 << 20];
    let time = fastest(5, || {
        for n in &mut numbers {
            *n = n.wrapping_add(3);
        }
        black_box(numbers.first().copied())
    });
    2.0 * 4.0 * f64::from(64 << 20) / time.as_secs_f64()
}

/// Name of the processor, if the system tells it.
pub fn processor() -> String {
    let info = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let line = info.lines().find(|l| l.starts_with("model name"));
    line.and_then(|l| l.split(": ").nth(1)).unwrap_or("unknown").to_owned()
}
