//! The whole mount at the end of a line: the conformance suite over each transport, the tutorial's program, cut bytes.

use link::vet::{Subject, Verdict, vet};
use link::{Limits, Server};
use protocol::Device;
use tests::mount::{NIGHT, night};
use units::Span;
use world::World;

/// The tutorial's program as it stands, its `main` aside.
#[path = "../../crates/link/examples/first_light.rs"]
mod first_light;

/// How many times as fast as the wall the served mounts live, so that slews take no time of ours.
const SPEED: f64 = 50.0;

fn server() -> Server<World> {
    Server::start_at(night(NIGHT).world(), World::now, SPEED, Limits::default())
}

async fn over_tcp() -> (Server<World>, String) {
    let listener = link::bind("127.0.0.1:0".parse().unwrap(), false, None).await.unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let mut server = server();
    server.tcp(listener, None);
    (server, address)
}

async fn passes(address: &str, left_out: &[u16]) {
    let subject = Subject { address: address.parse().unwrap(), token: None, may_move: true };
    for finding in vet(&subject, |_| {}).await.unwrap() {
        let expected = left_out.contains(&finding.requirement.number);
        let fits = match finding.verdict {
            Verdict::Passed => !expected,
            Verdict::NotApplicable(_) => expected,
            Verdict::Failed(_) => false,
        };
        assert!(fits, "{finding:#?}");
    }
}

#[tokio::test]
async fn the_mount_passes_the_suite_over_tcp() {
    let (server, address) = over_tcp().await;
    passes(&address, &[]).await;
    server.end().await;
}

/// Requirements that take two connections.
#[cfg(target_os = "linux")]
const TWO_CONNECTIONS: &[u16] = &[601, 602, 604, 605, 606];

#[cfg(target_os = "linux")]
#[tokio::test]
async fn the_mount_passes_the_suite_over_a_terminal_as_it_is_and_over_a_paced_one() {
    for pace in [None, Some(9600)] {
        let name = format!("nightbench-{}-world-{}", std::process::id(), pace.unwrap_or(0));
        let path = std::env::temp_dir().join(name);
        let baud = link::Baud::new(9600).unwrap();
        let terminal = link::PseudoTerminal::publish(&path, baud).unwrap();
        let mut server = server();
        server.pseudo_terminal(terminal, pace.and_then(link::Baud::new), units::Streams::new(7));
        passes(&format!("{}@9600", path.display()), TWO_CONNECTIONS).await;
        server.end().await;
        assert!(!path.is_symlink());
    }
}

#[tokio::test]
async fn the_tutorials_program_has_its_evening() {
    let (server, address) = over_tcp().await;
    let mut told = Vec::new();
    first_light::evening(&address.parse().unwrap(), &mut told).await.unwrap();
    let told = String::from_utf8(told).unwrap();
    let lines: Vec<&str> = told.lines().collect();
    assert_eq!(lines[0], "connected to a german-equatorial");
    assert!(lines[1].starts_with("refused (30): "), "{told}");
    assert!(lines[2].starts_with("arrived; it believes to point at ra=152."), "{told}");
    assert_eq!(lines[3..], ["it tracks: the hour axis turned westward", "stopped"]);
    server.end().await;
}

/// What a mount says, and a digest of what its computer knows, after an hour in which a text came in pieces.
fn after(text: &[u8], piece: usize) -> (Vec<u8>, u64) {
    let mut world = night(NIGHT).world();
    let session = world.connect();
    let mut said = Vec::new();
    for bytes in text.chunks(piece) {
        world.receive(session, bytes);
        world.transmit(session, &mut said);
    }
    world.advance(world.now() + Span::from_whole_seconds(3600));
    world.transmit(session, &mut said);
    (said, world.controller().state_digest())
}

#[test]
fn bytes_cut_in_any_way_leave_the_same_state() {
    let text = b"identify\r\n\n@2 site height=455m\n@3 goto name=Regulus\n@4 goto name=Vega\nnonsense\n\xFF\nstatus\n@5 await job=1 within=60s\n";
    let whole = after(text, text.len());
    assert!(whole.0.ends_with(b"* awaited job=1 state=arrived\n"), "{}", whole.0.escape_ascii());
    for piece in 1..text.len() {
        assert_eq!(after(text, piece), whole, "in pieces of {piece}");
    }
}
