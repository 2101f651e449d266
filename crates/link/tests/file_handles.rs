//! A server without file handles. In a file of its own, since the limit is the whole process's.
#![cfg(target_os = "linux")]

mod toy;

use link::Limits;
use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
use tokio::net::TcpStream;
use tokio::time::Duration;
use toy::{Plain, Toy, over_tcp};

#[tokio::test]
async fn without_file_handles_those_who_are_connected_go_on_and_newcomers_wait() {
    let limits = Limits { connections: 500, ..Limits::default() };
    let (_server, address) = over_tcp(Toy::new(None), limits, None).await;
    let mut steady = Plain::connect(address).await;
    steady.ask("identify").await;
    // A newcomer whose handle the client's side has already; the server's side finds none left.
    let before = getrlimit(Resource::Nofile);
    let open = std::fs::read_dir("/proc/self/fd").unwrap().count() as u64;
    setrlimit(Resource::Nofile, Rlimit { current: Some(open + 1), ..before }).unwrap();
    let mut held = Vec::new();
    while let Ok(stream) = TcpStream::connect(address).await {
        held.push(stream);
        assert!(held.len() < 50, "handles don't run out");
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    for _ in 0..20 {
        assert!(steady.ask("axes").await.starts_with("ok "));
    }
    held.clear();
    setrlimit(Resource::Nofile, before).unwrap();
    let mut later = Plain::connect(address).await;
    assert!(later.ask("identify").await.starts_with("ok "));
}
