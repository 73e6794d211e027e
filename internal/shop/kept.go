package shop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
)

// ReadSetting reads a setting that is kept as JSON into v, which stays as it is where the
// setting was never made; found tells which.
func (s *Shop) ReadSetting(ctx context.Context, name, what string, v any) (found bool, err error) {
	text, err := s.stores.Settings.Setting(ctx, name)
	if errors.Is(err, ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("%s: %w", what, err)
	}
	if err := json.Unmarshal([]byte(text), v); err != nil {
		return false, fmt.Errorf("%s: what was kept is damaged: %w", what, err)
	}
	return true, nil
}

// WriteSetting writes a setting as JSON.
func (s *Shop) WriteSetting(ctx context.Context, name, what string, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	if err := s.stores.Settings.SetSetting(ctx, name, string(b)); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

// ChangeSetting reads a setting into v, has it changed, and writes it back unless change errs. Where another program
// changed it meanwhile it is read and changed again, from what v was at first.
func (s *Shop) ChangeSetting(ctx context.Context, name, what string, v any, change func() error) error {
	s.keptMu.Lock()
	defer s.keptMu.Unlock()
	at := reflect.ValueOf(v).Elem()
	first := reflect.New(at.Type()).Elem()
	first.Set(at)
	const tries = 20
	var err error
	for range tries {
		at.Set(first)
		if err = s.changeSetting(ctx, name, what, v, change); !errors.Is(err, ErrConflict) {
			break
		}
	}
	return err
}

func (s *Shop) changeSetting(ctx context.Context, name, what string, v any, change func() error) error {
	was, err := s.stores.Settings.Setting(ctx, name)
	if err != nil && !errors.Is(err, ErrNotFound) {
		return fmt.Errorf("%s: %w", what, err)
	}
	if was != "" {
		if err := json.Unmarshal([]byte(was), v); err != nil {
			return fmt.Errorf("%s: what was kept is damaged: %w", what, err)
		}
	}
	if err := change(); err != nil {
		return err
	}
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	if err := s.stores.Settings.ReplaceSetting(ctx, name, was, string(b)); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}
