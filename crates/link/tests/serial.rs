//! Serial devices: unplugged and back, and a client on one.
#![cfg(target_os = "linux")]

mod toy;

use link::{Baud, Client, ClientOptions, Limits, Server, open_serial};
use rustix::pty::OpenptFlags;
use std::os::fd::OwnedFd;
use std::path::{Path, PathBuf};
use tokio::time::{Duration, Instant};
use toy::Toy;

/// The two ends of a cable: the near one is a serial device to the server.
struct Cable {
    far: OwnedFd,
    path: PathBuf,
}

impl Cable {
    fn plug(path: &Path) -> Self {
        let far =
            rustix::pty::openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC).unwrap();
        rustix::pty::grantpt(&far).unwrap();
        rustix::pty::unlockpt(&far).unwrap();
        let name = rustix::pty::ptsname(&far, Vec::new()).unwrap();
        let mut settings = rustix::termios::tcgetattr(&far).unwrap();
        settings.make_raw();
        rustix::termios::tcsetattr(&far, rustix::termios::OptionalActions::Now, &settings).unwrap();
        let _ = std::fs::remove_file(path);
        std::os::unix::fs::symlink(name.to_str().unwrap(), path).unwrap();
        Self { far, path: path.to_owned() }
    }

    /// Sends a line and reads until a line has come.
    async fn ask(&self, line: &str) -> String {
        rustix::io::ioctl_fionbio(&self.far, true).unwrap();
        rustix::io::write(&self.far, format!("{line}\n").as_bytes()).unwrap();
        let until = Instant::now() + Duration::from_secs(60);
        let mut text = String::new();
        while !text.contains('\n') {
            assert!(Instant::now() < until, "no reply, but `{text}`");
            let mut chunk = [0; 500];
            match rustix::io::read(&self.far, &mut chunk) {
                Ok(count) => text.push_str(str::from_utf8(&chunk[..count]).unwrap()),
                Err(_) => tokio::time::sleep(Duration::from_millis(2)).await,
            }
        }
        text
    }
}

impl Drop for Cable {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.path);
    }
}

#[tokio::test]
async fn an_unplugged_serial_device_is_waited_for() {
    let path = std::env::temp_dir().join(format!("nightbench-{}-cable", std::process::id()));
    let baud = Baud::new(9600).unwrap();
    let cable = Cable::plug(&path);
    let mut server = Server::start_at(Toy::new(None), |toy| toy.now, 1.0, Limits::default());
    server.serial(open_serial(&path, baud).unwrap(), path.clone(), baud);
    assert!(cable.ask("@1 identify").await.starts_with("ok @1 device=toy"));
    drop(cable);
    tokio::time::sleep(Duration::from_millis(300)).await;
    assert_eq!(server.with(|toy| toy.connected()), 0);
    let again = Cable::plug(&path);
    let until = Instant::now() + Duration::from_secs(5);
    while server.with(|toy| toy.connected()) == 0 {
        assert!(Instant::now() < until, "the device was not opened again");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    assert!(again.ask("@2 identify").await.starts_with("ok @2 device=toy"));
    assert!(tokio::time::timeout(Duration::from_secs(60), server.end()).await.is_ok());
}

#[tokio::test]
async fn a_client_on_a_serial_device_speaks_like_any_other() {
    let path = std::env::temp_dir().join(format!("nightbench-{}-client", std::process::id()));
    let terminal = link::PseudoTerminal::publish(&path, Baud::new(9600).unwrap()).unwrap();
    let mut server = Server::start_at(Toy::new(None), |toy| toy.now, 1.0, Limits::default());
    server.pseudo_terminal(terminal, None, units::Streams::new(1));
    let address = path.to_str().unwrap().parse().unwrap();
    let client =
        Client::connect(&address, ClientOptions { check: true, ..ClientOptions::default() }).await.unwrap();
    let event =
        client.finish("goto hour_axis=-86deg declination_axis=90deg", Duration::from_secs(5)).await.unwrap();
    assert_eq!(event.to_string(), "arrived job=1");
    server.end().await;
}
