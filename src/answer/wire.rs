//! Requests and answers as bytes: what goes between a page and whoever answers it.
//!
//! A request is JSON. An answer is four bytes, the length of its JSON, little-endian; that JSON, with what is said and the
//! name, media type and length of each part; then the parts, one after the other.

use serde_json::{Value, json};

use super::{Answer, Part, Reply, Request, answer};

/// Answers a request that is JSON; one that is none, or asks for what there is not, is refused in words.
pub fn answered(request: &[u8]) -> Vec<u8> {
    let mut reader = serde_json::Deserializer::from_slice(request);
    let read = serde_path_to_error::deserialize::<_, Request>(&mut reader);
    match read {
        Ok(request) => written(&answer(&request)),
        Err(e) => {
            let at = e.path().to_string();
            let reply = super::refusal(vec![format!("The request cannot be read: {at}: {}.", e.into_inner())]);
            written(&Answer { reply, parts: Vec::new() })
        }
    }
}

/// An answer as bytes.
pub fn written(answer: &Answer) -> Vec<u8> {
    let part = |part: &Part| json!({ "name": part.name, "media": part.media, "length": part.bytes.len() });
    let parts: Vec<Value> = answer.parts.iter().map(part).collect();
    let head = json!({ "reply": answer.reply, "parts": parts }).to_string();
    let mut bytes = (head.len() as u32).to_le_bytes().to_vec();
    bytes.extend(head.into_bytes());
    answer.parts.iter().for_each(|part| bytes.extend(&part.bytes));
    bytes
}

/// The JSON Schemas of a request and of what is said to it.
pub fn schemas() -> [Value; 2] {
    [schemars::schema_for!(Request).to_value(), schemars::schema_for!(Reply).to_value()]
}
