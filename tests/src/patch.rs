//! JSON merge patches (RFC 7396) at JSON pointers (RFC 6901).

use serde_json::Value;

/// Merges a patch into a value: members of objects one by one, `null` removes, everything else replaces.
pub fn merge(target: &mut Value, patch: &Value) {
    let Value::Object(changes) = patch else {
        *target = patch.clone();
        return;
    };
    if !target.is_object() {
        *target = Value::Object(serde_json::Map::new());
    }
    let Value::Object(members) = target else { return };
    for (key, change) in changes {
        if change.is_null() {
            members.remove(key);
        } else {
            merge(members.entry(key.clone()).or_insert(Value::Null), change);
        }
    }
}

/// Merges a patch at a pointer; a last `-` appends it to an array.
///
/// # Errors
/// A sentence when the pointer leads nowhere.
pub fn merge_at(target: &mut Value, pointer: &str, patch: &Value) -> Result<(), String> {
    if let Some(array) = pointer.strip_suffix("/-") {
        let items = target.pointer_mut(array).and_then(Value::as_array_mut);
        items.ok_or_else(|| format!("no array at {array}"))?.push(patch.clone());
        return Ok(());
    }
    merge(target.pointer_mut(pointer).ok_or_else(|| format!("nothing at {pointer}"))?, patch);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn examples_of_rfc_7396_appendix_a() {
        for (original, patch, result) in [
            (json!({"a": "b"}), json!({"a": "c"}), json!({"a": "c"})),
            (json!({"a": "b"}), json!({"b": "c"}), json!({"a": "b", "b": "c"})),
            (json!({"a": "b"}), json!({"a": null}), json!({})),
            (json!({"a": ["b"]}), json!({"a": "c"}), json!({"a": "c"})),
            (json!({"a": {"b": "c"}}), json!({"a": {"b": "d", "c": null}}), json!({"a": {"b": "d"}})),
            (json!({"a": [{"b": "c"}]}), json!({"a": [1]}), json!({"a": [1]})),
            (json!(["a", "b"]), json!(["c", "d"]), json!(["c", "d"])),
            (json!({"e": null}), json!({"a": 1}), json!({"e": null, "a": 1})),
            (json!([1, 2]), json!({"a": "b", "c": null}), json!({"a": "b"})),
            (json!({}), json!({"a": {"bb": {"ccc": null}}}), json!({"a": {"bb": {}}})),
        ] {
            let mut value = original;
            merge(&mut value, &patch);
            assert_eq!(value, result);
        }
    }

    #[test]
    fn a_pointer_says_where_and_a_dash_appends() {
        let mut value = json!({"setups": [{"name": "a"}]});
        merge_at(&mut value, "/setups/0", &json!({"up": "+z"})).unwrap();
        merge_at(&mut value, "/setups/-", &json!({"name": "b"})).unwrap();
        assert_eq!(value, json!({"setups": [{"name": "a", "up": "+z"}, {"name": "b"}]}));
        assert!(merge_at(&mut value, "/setups/7", &json!({})).is_err());
        assert!(merge_at(&mut value, "/name/-", &json!({})).is_err());
    }
}
