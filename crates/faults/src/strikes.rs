//! What faults do to the bytes of one line.

use crate::chooser::Chooser;
use crate::kinds::Kind;

/// A line that a fault of bytes has passed over.
pub(crate) fn bytes_struck(kind: Kind, repeats: u32, line: &[u8], chooser: &mut Chooser) -> Vec<u8> {
    let struck = chooser.struck_bytes(line);
    if !struck.contains(&true) {
        return line.to_vec();
    }
    let mut out = Vec::with_capacity(line.len() + 8);
    let mut index = 0;
    while index < line.len() {
        let byte = line[index];
        if !struck[index] {
            out.push(byte);
            index += 1;
            continue;
        }
        let draw = chooser.stream();
        match kind {
            Kind::LostBytes => {}
            Kind::DoubledBytes => out.extend([byte, byte]),
            Kind::FlippedBits => out.push(byte ^ (1 << draw.below(8))),
            // Another byte than the one that came.
            Kind::GarbledBytes => out.push(byte.wrapping_add(1 + draw.below(255) as u8)),
            Kind::AddedBytes => out.extend([draw.below(256) as u8, byte]),
            Kind::Stutter => out.extend(std::iter::repeat_n(byte, repeats as usize)),
            Kind::SevenBits => out.push(byte & 0x7F),
            Kind::ZeroBytes => out.extend([0, byte]),
            Kind::SwappedBytes => match line.get(index + 1) {
                Some(next) => {
                    out.extend([*next, byte]);
                    index += 1;
                }
                None => out.push(byte),
            },
            other => unreachable!("{other:?} strikes no single bytes"),
        }
        index += 1;
    }
    out
}

/// What a struck line becomes.
pub(crate) fn line_struck(
    kind: Kind,
    bytes: Option<u32>,
    line: &[u8],
    chooser: &mut Chooser,
) -> Vec<Vec<u8>> {
    let body = line.strip_suffix(b"\n").map_or(line, |body| body.strip_suffix(b"\r").unwrap_or(body));
    let end = &line[body.len()..];
    let draw = chooser.stream();
    let mut place = || draw.below(body.len() as u64 + 1) as usize;
    match kind {
        Kind::SplitLine => {
            let at = place();
            vec![[&body[..at], b"\n"].concat(), [&body[at..], end].concat()]
        }
        Kind::MergedLines => vec![body.to_vec()],
        Kind::CutLine => {
            let kept = bytes.map_or_else(place, |bytes| (bytes as usize).min(body.len()));
            vec![[&body[..kept], end].concat()]
        }
        Kind::LostReply => Vec::new(),
        Kind::DoubledReply => vec![line.to_vec(), line.to_vec()],
        Kind::WrongEnding => {
            const OTHERS: [&[u8]; 3] = [b"\r", b"\n\r", b"\r\n"];
            let other = OTHERS[draw.below(3) as usize];
            vec![if end.is_empty() { line.to_vec() } else { [body, other].concat() }]
        }
        other => unreachable!("{other:?} changes no lines"),
    }
}
