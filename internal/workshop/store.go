package workshop

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
)

// Store writes a result as JSON, so that Restore gives it back with all that is asked of it later. Figures
// that are not numbers, which JSON has none of, are written as "NaN", "+Inf" or "-Inf".
func Store(result any) ([]byte, error) { return json.Marshal(plain(reflect.ValueOf(result))) }

// Restore reads what Store has written into a result of the same type, by its pointer.
func Restore(data []byte, result any) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber() // or the seeds of samples would be rounded
	var from any
	if err := dec.Decode(&from); err != nil {
		return err
	}
	return fill(reflect.ValueOf(result).Elem(), from)
}

// plain is a value of what JSON knows.
func plain(v reflect.Value) any {
	switch v.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		if v.IsNil() {
			return nil
		}
	}
	switch v.Kind() {
	case reflect.Pointer:
		return plain(v.Elem())
	case reflect.Struct:
		if _, own := v.Interface().(json.Marshaler); own {
			return v.Interface()
		}
		fields := map[string]any{}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				fields[f.Name] = plain(v.Field(i))
			}
		}
		return fields
	case reflect.Slice, reflect.Array:
		list := make([]any, v.Len())
		for i := range list {
			list[i] = plain(v.Index(i))
		}
		return list
	case reflect.Map:
		all := map[string]any{}
		for each := v.MapRange(); each.Next(); {
			all[each.Key().String()] = plain(each.Value())
		}
		return all
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return strconv.FormatFloat(f, 'g', -1, 64)
		}
	}
	return v.Interface()
}

// fill sets a value to what plain has made of one.
func fill(v reflect.Value, from any) error {
	if from == nil {
		v.SetZero()
		return nil
	}
	if _, own := v.Addr().Interface().(json.Unmarshaler); own {
		return fillByItself(v, from)
	}
	switch from := from.(type) {
	case map[string]any:
		return fillFields(v, from)
	case []any:
		return fillList(v, from)
	case string:
		if v.Kind() == reflect.Float64 {
			f, err := strconv.ParseFloat(from, 64)
			v.SetFloat(f)
			return err
		}
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		return fill(v.Elem(), from)
	}
	return fillByItself(v, from)
}

func fillByItself(v reflect.Value, from any) error {
	data, err := json.Marshal(from)
	if err != nil {
		return err
	}
	return json.Unmarshal(data, v.Addr().Interface())
}

func fillFields(v reflect.Value, from map[string]any) error {
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		return fill(v.Elem(), from)
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				if err := fill(v.Field(i), from[f.Name]); err != nil {
					return fmt.Errorf("%s: %w", f.Name, err)
				}
			}
		}
		return nil
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		for key, one := range from {
			value := reflect.New(v.Type().Elem()).Elem()
			if err := fill(value, one); err != nil {
				return fmt.Errorf("%s: %w", key, err)
			}
			v.SetMapIndex(reflect.ValueOf(key).Convert(v.Type().Key()), value)
		}
		return nil
	}
	return fmt.Errorf("fields, where there should be %s", v.Type())
}

func fillList(v reflect.Value, from []any) error {
	switch {
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		return fill(v.Elem(), from)
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), len(from), len(from)))
	case v.Kind() != reflect.Array || v.Len() != len(from):
		return fmt.Errorf("a list of %d, where there should be %s", len(from), v.Type())
	}
	for i, one := range from {
		if err := fill(v.Index(i), one); err != nil {
			return fmt.Errorf("%d: %w", i, err)
		}
	}
	return nil
}
