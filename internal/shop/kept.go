package shop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
)

// readKept reads a setting that is kept as JSON into v, which stays as it is where the
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

// keep writes a setting as JSON.
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

// changeKept reads a setting into v, has it changed, and writes it back unless change errs. One
// such change runs at a time.
func (s *Shop) ChangeSetting(ctx context.Context, name, what string, v any, change func() error) error {
	s.keptMu.Lock()
	defer s.keptMu.Unlock()
	if _, err := s.ReadSetting(ctx, name, what, v); err != nil {
		return err
	}
	if err := change(); err != nil {
		return err
	}
	return s.WriteSetting(ctx, name, what, v)
}
