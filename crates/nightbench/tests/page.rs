//! `page`, and `serve --page`, as a user meets them: the address that is printed, lessons of one's own, what is refused.
#![cfg(target_os = "linux")]

mod common;

use common::run;
use common::served::Served;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;

fn get(host: &str, path: &str) -> String {
    let mut stream = TcpStream::connect(host).expect("somebody listens");
    write!(stream, "GET {path} HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n")
        .expect("it can be sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    answer
}

#[test]
fn the_address_that_is_printed_opens_the_page() {
    let mut served = Served::begin(&["page", "127.0.0.1:0", "--json"]);
    let way = served.way();
    assert_eq!((&way["transport"], &way["for"]), (&"page".into(), &"teach".into()));
    let address = way["address"].as_str().expect("an address");
    let host =
        address.strip_prefix("http://").and_then(|rest| rest.strip_suffix('/')).expect("a plain address");
    assert!(get(host, "/").contains("<title>nightbench: the live bench</title>"));
}

#[test]
fn a_mount_and_its_page_are_served_together() {
    let mut served = Served::begin(&["serve", "--tcp", "127.0.0.1:0", "--page", "127.0.0.1:0", "--json"]);
    let (mount, page) = (served.way(), served.way());
    assert_eq!((&mount["transport"], &page["transport"]), (&"tcp".into(), &"page".into()));
    let talk = run(Path::new("."), &["talk", mount["address"].as_str().expect("an address")]);
    assert_eq!(talk.status, 0);
}

#[test]
fn tokens_make_two_links() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = |name: &str, token: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, token).expect("it can be written");
        path.display().to_string()
    };
    let (teacher, class) = (file("teacher", "teacher-teacher-1\n"), file("class", "viewer-viewer-123\n"));
    let mut served = Served::begin(&[
        "page",
        "127.0.0.1:0",
        "--json",
        "--token-file",
        &teacher,
        "--viewer-token-file",
        &class,
    ]);
    let (teach, look) = (served.way(), served.way());
    assert!(teach["address"].as_str().expect("text").ends_with("/#token=teacher-teacher-1"));
    assert!(look["address"].as_str().expect("text").ends_with("/#token=viewer-viewer-123"));
    assert_eq!(look["for"], "look");
}

#[test]
fn what_cannot_be_shown_ends_at_once_with_its_status() {
    let folder = tempfile::tempdir().expect("a folder");
    let lessons = folder.path().display().to_string();
    std::fs::write(folder.path().join("mine.toml"), "format = 1\ntitel = \"x\"\n")
        .expect("it can be written");
    std::fs::write(folder.path().join("token"), "teacher-teacher-1\n").expect("it can be written");
    let token = folder.path().join("token").display().to_string();
    for (arguments, said) in [
        (
            &["page", "127.0.0.1:0", "--lesson", "nothing"][..],
            "there is no lesson `nothing`; there are backlash",
        ),
        (&["page", "127.0.0.1:0", "--lessons", &lessons], "unknown field `titel`"),
        (&["page", "127.0.0.1:0", "--lessons", "/nowhere/at/all"], "can't be read"),
        (&["page", "0.0.0.0:0"], "--allow-remote"),
        (&["page", "0.0.0.0:0", "--allow-remote"], "--token-file"),
        (&["page", "0.0.0.0:0", "--allow-remote", "--token-file", &token], "--page-name"),
        (&["page", "127.0.0.1:0", "--viewer-token-file", &token], "needs a teacher's"),
        (&["page", "127.0.0.1:0", "--scenario", "/nowhere/at/all.toml"], "there is no file"),
        (&["serve", "--viewers", "3"], "--viewers is for the page"),
        (&["serve", "--page", "127.0.0.1:0", "--stepped"], "cannot be used with"),
        (&["serve", "--allow-remote", "--pty", "./mount"], "--allow-remote"),
    ] {
        let refused = run(Path::new("."), arguments);
        assert_eq!(refused.status, 2, "{arguments:?}: {}", refused.err);
        assert!(refused.err.contains(said), "{arguments:?}: {}", refused.err);
    }
}
