//! What a trial costs: a stepped night of twelve hours with a hundred thousand requests, and what is beyond the program's own time.

use protocol::Device as _;
use trial::Options;

const NIGHT: &str = include_str!("../../../fixtures/trials/short_evening.toml");

fn main() {
    divan::main();
}

fn prepared(length: &str) -> bench::Prepared {
    let text = NIGHT.replace("length = \"1 h\"", &format!("length = \"{length}\""));
    let plan = scenario::read(&text).unwrap_or_else(|_| unreachable!("the fixture is a good night"));
    bench::prepare(&plan).unwrap_or_else(|_| unreachable!("the fixture can be played"))
}

/// Half of the requests ask, half let 0.864 s pass: twelve hours.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn stepped_night_of_100_000_requests(bencher: divan::Bencher) {
    let prepared = prepared("12 h");
    bencher.bench_local(|| {
        let mut device = prepared.on_trial();
        device.world().allow(world::Allowed { clock: true, faults: world::FaultsAllowed::None });
        let session = device.connect();
        let mut heard = Vec::new();
        device.receive(session, b"goto name=Capella\n");
        for _ in 0..50_000 {
            device.receive(session, b"@1 status\n");
            device.receive(session, b"@2 clock by=0.864s\n");
            heard.clear();
            device.transmit(session, &mut heard);
        }
        device.outcome(&prepared)
    });
}

/// A program that ends at once: what is left is the trial's own.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn trial_of_a_program_that_ends_at_once(bencher: divan::Bencher) {
    let prepared = prepared("1 h");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("an event loop");
    let program = ["true".to_owned()];
    bencher.bench_local(|| {
        runtime.block_on(trial::run(&prepared, &program, &Options::default())).expect("a trial")
    });
}
